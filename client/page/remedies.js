// remedies.js - over: how much too much, and what can be done about it, each way with what it makes, wastes and costs.
// The daemon has worked out all of it; a digit or a touch chooses, the foot line commits.
import { el } from "./draw.js";
import { figures, shape } from "./figures.js";
import { Ruler } from "./ruler.js";
import { fixed, grams, said, word } from "./words.js";

const ruler = new Ruler("over");
const order = ["grow", "dip", "leave", "again", "rescue"];

// Lines that the daemon offers, open or shut; the place is the digit that chooses. The last two only where they help.
export function remedyMoves(s) {
  return s.moves.filter((m) => m.act.method === "batch.remedy" && (m.open || !["again", "rescue"].includes(m.act.params.choice)))
    .sort((a, b) => order.indexOf(a.act.params.choice) - order.indexOf(b.act.params.choice));
}

// Paint out first where that is needed, then the cups, then what is still fresh.
function rescueText(r, adds) {
  if (!r.batches) return "";
  const cups = r.batches.map((b) => `#${b.batch} ${grams(b.grams)} g`).join(", "), out = r.take_g > 0 ? "_out" : "";
  return word(`page.rescue${out}${adds ? "_adds" : ""}`, { cups, adds, take_g: r.take_g });
}

// What is to be poured, or how far off the cup then stays: one sentence.
function remedyText(s, choice, r) {
  const adds = (r.add_g ?? []).map((g, i) => (g > 0 ? `${s.steps[i]?.toner ?? ""} ${grams(g)}` : "")).filter(Boolean).join(", ");
  if (choice === "grow") return adds ? word("page.grow_adds", { adds }) : "";
  if (choice === "dip") return adds ? word("page.dip_adds", { take_g: r.take_g, adds }) : word("page.dip", { take_g: r.take_g });
  if (choice === "rescue") return rescueText(r, adds);
  if (choice === "again") return word("page.again_keeps");
  if (r.ratio) return word("page.leave_ratio", { ratio: r.ratio.map((x) => fixed(x, Number.isInteger(x) ? 0 : 2)).join(":") });
  const off = (r.deviation_pct ?? []).map((p, i) => (Math.abs(p ?? 0) >= 0.05 ? [s.steps[i]?.toner, p] : null)).filter(Boolean)[0];
  return off ? word("page.leave_off", { toner: off[0], off_pct: off[1] }) : "";
}

// What the batch becomes; a remedy that fits no cup has its reason in place of the figures.
function sums(s, move, choice, r) {
  if (!move.open) return el("span", { class: "sums over" }, said(move.why));
  const total = r.total_g ?? (choice === "leave" ? s.total_g : choice === "again" ? s.wanted_g : null);
  const ml = r.volume_ml ?? null;
  return el("span", { class: "sums" }, total !== null && el("b", {}, `${grams(total)} g`),
    ml !== null && el("span", {}, `${fixed(ml, 0)} mL`, el("small", { class: "inline" }, ` ${word("page.spray_head")}`)));
}

function remedyLine(app, move, i) {
  const s = app.screen, { choice } = move.act.params, r = s.remedies?.[choice] ?? {};
  const chosen = app.choice === choice;
  const money = r.cost === null || r.cost === undefined ? "" : `${fixed(r.cost, 2, true)} ${app.info.currency}`;
  return el("button", { class: `remedy ${chosen ? "chosen" : ""}`, type: "button", "aria-pressed": chosen, "aria-disabled": !move.open,
    onclick: () => choose(app, i) },
    el("span", { class: "digit" }, String(i + 1)),
    el("b", { class: "what" }, word(`page.remedy_${choice}`)),
    sums(s, move, choice, r),
    el("span", { class: "waste" }, move.open && r.waste_g !== undefined
      && [el("small", { class: "inline" }, `${word("column.waste")} `), `${grams(r.waste_g)} g`]),
    el("span", { class: "cost" }, move.open ? [money, el("small", { class: "inline" }, `, ${r.minutes ?? 0} min`)] : ""),
    el("span", { class: "time" }, move.open ? `${r.minutes ?? 0} min` : ""),
    el("span", { class: "text" }, [remedyText(s, choice, r), said(r.de00?.said ?? null)].filter(Boolean).join(" ")));
}

export function choose(app, i) {
  const move = remedyMoves(app.screen)[i];
  if (!move) return;
  app.note = move.open ? "" : said(move.why);
  if (move.open) app.choice = move.act.params.choice;
  app.draw();
}

export function drawOver(app) {
  const s = app.screen, step = s.steps[s.step - 1] ?? {}, { now } = s;
  return [
    el("section", { class: "open overline", "data-cue": "" },
      el("span", { class: "margin" }, word("page.now")),
      el("div", { class: "toner" },
        el("b", { class: "bigcode" }, now?.toner ?? step.toner ?? ""),
        el("span", { class: "bigname" }, now?.name ?? step.name ?? "",
          el("small", {}, `${word("column.aim")} ${grams(now?.aim_g)}, ${word("column.in_cup")} ${grams(now?.in_cup_g)}`)),
        el("span", { class: "gap" }),
        el("div", { class: "past rubric" }, shape("over"), figures(grams(Math.abs(now?.to_go_g ?? NaN))),
          el("span", {}, word("page.g_over")))),
      el("div", { class: "rule thin", "data-live": "" })),
    el("section", { class: "remedies" },
      el("div", { class: "heads", "aria-hidden": "true" }, el("span", {}, `${word("column.becomes")}, ${word("page.spray_head")}`), el("span", {}, word("column.waste")),
        el("span", {}, word("column.cost")), el("span", {}, word("column.time"))),
      ...remedyMoves(s).map((m, i) => remedyLine(app, m, i)))];
}

// The ruler of the step that is over; its tooth is past the right edge, so it is an arrow.
export function liveOver(app) {
  const box = app.root.querySelector(".rule"), { now } = app.screen;
  if (!box || !now || now.aim_g === null) return;
  ruler.fit(box, now.aim_g, now.tolerance_g, false);
  ruler.move(now.to_go_g, null);
}

export function overSill(app) {
  const s = app.screen, moves = remedyMoves(s);
  const move = moves.find((m) => m.act.params.choice === app.choice);
  if (!move) return { kind: "hand", text: said(s.next.said) };
  return { kind: "key", text: said(move.said), run: () => app.act(move.act) };
}
