// done.js - everything is poured: each line with its deviation, what the cup holds, and the label as it will be printed.
import { el } from "./draw.js";
import { figures, shape } from "./figures.js";
import { fillText } from "./cup.js";
import { coatAmount, coatName, nextCoat } from "./order.js";
import { stepLine } from "./steps.js";
import { grams, said, word, hour } from "./words.js";

const COPIES_MAX = 9;

export function drawDone(app) {
  const s = app.screen;
  const off = s.steps.filter((step) => !["on_aim", null].includes(step.verdict)).map((step) => step.toner ?? step.batch ?? step.name);
  const [unit, rest] = word("page.g_in_cup").split(/ (.*)/);
  return [
    el("section", { class: "done-list", tabindex: "0", role: "group", "aria-label": word("page.done") },
      ...s.steps.map((step) => stepLine(step)),
      s.sure && el("p", { class: "fill" }, said(s.sure))), // with the lines: below them each row is the large figure's
    el("section", { class: "open batch", "data-cue": "" },
      el("div", { class: "sum" },
        el("div", { class: "main" }, el("div", { class: "number" }, figures(grams(s.fill.spray_g ?? s.total_g))),
          el("div", { class: "unit" }, el("span", {}, unit), el("span", {}, rest ?? ""))),
        el("p", { class: "verdict" }, shape(off.length ? "over" : "ok"),
          el("span", {}, off.length ? word("page.not_on_aim", { toners: off.join(", ") }) : word("page.all_on_aim"))),
        s.facts.length ? el("ul", { class: "facts" }, ...s.facts.map((f) => el("li", {}, said(f)))) : null,
        el("p", { class: "fill" }, fillText(s)),
        s.use_by && el("p", { class: "useby" }, word("page.use_by", { use_by: hour(s.use_by) }).trim())),
      !s.practice && drawLabel(app)),
    nextOfOrder(app) && nextLine(app, nextOfOrder(app))];
}

// The order's next coat, where this cup is one of an order and the shop keeps that order.
const nextOfOrder = (app) => app.here && nextCoat(app.here);

function nextLine(app, c) {
  const chosen = app.picked === "next";
  return el("button", { type: "button", class: `pick next-coat ${chosen ? "chosen" : ""}`, "aria-pressed": chosen, onclick: () => pickNext(app) },
    el("span", { class: "digit" }, "1"), el("b", {}, `${word("page.then")} ${coatName(c)}`), el("span", { class: "who" }, coatAmount(c)));
}

// Pressed once more it is let go.
export function pickNext(app) {
  if (!nextOfOrder(app)) return;
  app.picked = app.picked === "next" ? null : "next";
  app.draw();
}

// Both acts by one move: finished with its label, then the next coat begun. Refused at the first, nothing is begun.
export function doneSill(app, usual) {
  const c = nextOfOrder(app), order = app.here;
  if (app.picked !== "next" || !c || usual.kind !== "key") return usual;
  const run = async () => { if (await usual.run()) await app.beginCoat(order, c); };
  return { ...usual, text: word("page.finish_begin", { coat: coatName(c) }), run };
}

function drawLabel(app) {
  const s = app.screen, copies = app.copies ?? 1;
  const count = (by, sign) => el("button", { type: "button", class: "count", onclick: () => copyStep(app, by),
    "aria-label": word("page.copies", { copies: copies + by }) }, sign);
  return el("figure", { class: "label" },
    el("img", { src: `/label/${encodeURIComponent(s.batch)}.svg?of=${s.revision}`, alt: word("page.label_of", { batch: s.batch }) }),
    el("figcaption", {}, el("span", { class: "margin" }, word("page.batch", { batch: s.batch })),
      el("span", {}, word("page.copies_head")), count(-1, "\u2212"), el("b", {}, String(copies)), count(1, "+")));
}

export function copyStep(app, by) {
  app.copies = Math.min(COPIES_MAX, Math.max(1, (app.copies ?? 1) + by));
  app.draw();
}
