// record.js - one batch as it was really poured: its parts, facts, label, and what can be done with it days later.
import { el, line } from "./draw.js";
import { Ask, List } from "./list.js";
import { fixed, grams, said, word, day, hour } from "./words.js";
import { openAmount } from "./amount.js";
import { WeighBack } from "./leftover.js";

function partLine(p) {
  const off = p.deviation_pct === null ? "" : `${fixed(p.deviation_pct, 1, true)} %`;
  const looks = p.de00?.said ? `, ${said(p.de00.said)}` : "";
  return line(p.lot ?? "", p.toner, `${p.name ?? ""}${looks}`, grams(p.poured_g), off);
}

// What is true of it, then every part, then what it all holds, and the label as it would be printed again.
function above(view) {
  const b = view.batch;
  if (!b) return [];
  const when = `${day(b.begun)} ${hour(b.begun)}`;
  const title = [b.coat && word(`coat.${b.coat}`), b.variant, b.order && word("page.order", { order: b.order }), b.painter,
    when].filter(Boolean);
  const voc = b.voc && word("page.voc", { voc: fixed(b.voc.regulatory_g_per_l ?? b.voc.actual_g_per_l, 0) });
  const sums = [`${grams(b.total_g)} g`, b.total_ml !== null && `${fixed(b.total_ml, 0)} mL`, voc].filter(Boolean).join(", ");
  return [
    el("p", { class: "who" }, title.join(", ")),
    el("section", { class: "recorded" },
      el("div", { class: "plan", tabindex: "0", role: "group", "aria-label": word("page.batch", { batch: b.batch }) },
        ...b.parts.map(partLine),
        b.reducer && line("", b.reducer.toner, b.reducer.name ?? "", grams(b.reducer.poured_g)),
        ...(b.have ?? []).filter((h) => h.batch).map((h) => el("p", { class: "who" },
          word("show.have", { batch: h.batch, grams: `${grams(h.grams)} g` }))),
        el("p", { class: "both" }, sums),
        b.de00?.said && el("p", { class: "who" }, word("page.looks", { text: said(b.de00.said) })),
        b.evaporated_g > 0 && el("p", { class: "who" }, word("evaporated", { evaporated_g: b.evaporated_g })),
        b.uncertainty && el("p", { class: "who" }, said(b.uncertainty.said)),
        ...b.facts.map((f) => el("p", { class: "rubric" }, said(f))),
        ...(b.cautions ?? []).map((c) => el("p", { class: "rubric" }, said(c)))),
      el("figure", { class: "label" }, el("img", { src: `/label/${encodeURIComponent(b.batch)}.svg`,
        alt: word("page.label_of", { batch: b.batch }) })))];
}

// The grams of a batch that are left, for the field that says what is in the cup already.
const touchUp = (app, b) => openAmount(app, { formula: b.formula, coat: b.coat, variant: b.variant,
  have: `${b.batch} ${grams(b.shelf?.left_g ?? b.total_g)}`,
  title: `${b.formula} ${b.name ?? ""}, ${word(`coat.${b.coat}`)}` });

function rows(view, app) {
  const b = view.batch;
  if (!b) return [];
  const shop = !app.screen.practice; // what is done to a cup of the shop stays done
  const move = (method) => app.screen.moves.find((m) => m.act.method === method);
  const resume = move("batch.resume"), shut = move("batch.begin")?.open ? "" : word("page.find_shut");
  const out = [];
  if (b.state === "held")
    out.push({ text: word("footline.resume", { batch: b.batch, formula: b.formula ?? "", coat: b.coat ?? "" }),
      shut: resume?.open ? "" : word("page.find_shut"),
      run: async () => (await app.act(resume.act, { batch: b.batch })) && app.home() });
  if (b.state !== "open") {
    const title = word("page.amount_again", { batch: b.batch });
    out.push({ text: word("page.repeat_poured"), shut, run: () => openAmount(app, { repeat: b.batch, as: "poured", title, shelf: b }) });
    if (b.formula && !b.product) {
      out.push({ text: word("page.repeat_corrected"), shut, run: () => openAmount(app, { repeat: b.batch, as: "corrected", title, shelf: b }) });
      if (b.state === "finished" && !b.activated && b.coat) out.push({ text: word("page.pour_on_cup"), shut, run: () => touchUp(app, b) });
    }
  }
  if (shop && b.state === "finished") out.push({ text: word("page.weigh_back"), run: () => app.open(new WeighBack({ ...b, ...b.shelf })) },
    { text: word("page.cup_acts"), run: () => app.openCup(app, { ...b, ...b.shelf }) });
  if (shop && b.state === "finished" && b.formula && b.formula !== b.product && b.tinted.length)
    out.push({ text: word("page.keep_variant"), run: () => keepVariant(app, b, `tinted ${b.batch}`) },
      { text: word("page.keep_variant_as"), run: () => askVariant(app, b) });
  out.push({ text: word("page.print_again"), run: () => printAgain(app, b) });
  return out;
}

async function keepVariant(app, b, variant, leave = () => {}) {
  if (!(await app.act({ method: "formula.keep", params: { batch: b.batch, variant } }))) return;
  leave();
  app.note = word("page.variant_kept", { variant });
  app.draw();
}

const askVariant = (app, b) => app.open(new Ask("ask", word("page.keep_variant_as"), {
  ask: "variant", label: word("member.name"), says: (variant) => word("page.variant_kept", { variant }),
  run: (a, variant) => keepVariant(a, b, variant, () => a.back()) }));

async function printAgain(app, b) {
  if (!(await app.act({ method: "batch.label", params: { batch: b.batch, copies: 1 } }))) return;
  app.note = word("page.printed");
  app.draw();
}

export function openRecord(app, batch) {
  const title = () => `${word("page.batch", { batch })}  ${view.batch?.formula ?? ""} ${view.batch?.name ?? ""}`;
  const read = async (a) => { view.batch = await a.ask("batch.get", { batch, events: 1 }) ?? view.batch; a.draw(); };
  const view = new List("record", title, (a) => rows(view, a), { above: () => above(view), read });
  app.open(view);
}
