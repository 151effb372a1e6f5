// record.js - one batch as it was really poured: its parts, facts, label, and what can be done with it days later.
import { el, line } from "./draw.js";
import { List } from "./list.js";
import { fixed, grams, said, word, day, hour } from "./words.js";
import { openAmount } from "./amount.js";

function partLine(p) {
  const off = p.deviation_pct === null ? "" : `${fixed(p.deviation_pct, 1, true)} %`;
  return line(p.lot ?? "", p.toner, p.name ?? "", grams(p.poured_g), off);
}

function above(view) {
  const b = view.batch;
  if (!b) return [];
  const title = [b.coat && word(`coat.${b.coat}`), b.variant, b.order && word("page.order", { order: b.order }), b.painter, `${day(b.begun)} ${hour(b.begun)}`].filter(Boolean);
  return [
    el("p", { class: "who" }, title.join(", ")),
    el("section", { class: "plan" }, ...b.parts.map(partLine), b.reducer && line("", b.reducer.toner, b.reducer.name ?? "", grams(b.reducer.poured_g))),
    el("p", { class: "both" }, `${grams(b.total_g)} g`, b.total_ml !== null ? `, ${fixed(b.total_ml, 0)} mL` : "", b.voc ? `, ${word("page.voc", { voc: fixed(b.voc.regulatory_g_per_l ?? b.voc.actual_g_per_l, 0) })}` : ""),
    ...b.facts.map((f) => el("p", { class: "rubric" }, said(f))),
    ...(b.cautions ?? []).map((c) => el("p", { class: "rubric" }, said(c)))];
}

function rows(view, app) {
  const b = view.batch;
  if (!b) return [];
  const out = [];
  const resume = app.screen.moves.find((m) => m.act.method === "batch.resume");
  const begin = app.screen.moves.find((m) => m.act.method === "batch.begin");
  const shut = begin?.open ? "" : word("page.find_shut");
  if (b.state === "held") out.push({ text: word("footline.resume", { batch: b.batch, formula: b.formula, coat: b.coat ?? "" }), shut: resume?.open ? "" : word("page.find_shut"), run: async () => (await app.act(resume.act, { batch: b.batch })) && app.home() });
  out.push({ text: word("page.print_again"), run: () => app.act({ method: "batch.label", params: { batch: b.batch, copies: 1 } }).then((r) => { if (r) { app.note = word("page.printed"); app.draw(); } }) });
  if (b.state !== "open") {
    out.push({ text: word("page.repeat_poured"), shut, run: () => openAmount(app, { repeat: b.batch, as: "poured", title: word("page.amount_again", { batch: b.batch }) }) });
    if (b.formula && !b.product) out.push({ text: word("page.repeat_corrected"), shut, run: () => openAmount(app, { repeat: b.batch, as: "corrected", title: word("page.amount_again", { batch: b.batch }) }) });
  }
  return out;
}

export function openRecord(app, batch) {
  const view = new List("record", () => `${word("page.batch", { batch })}  ${view.batch?.formula ?? ""} ${view.batch?.name ?? ""}`, (a) => rows(view, a), { above: () => above(view) });
  app.open(view);
  app.ask("batch.get", { batch, events: 1 }).then((b) => { view.batch = b; app.draw(); });
}
