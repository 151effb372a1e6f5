// done.js - everything is poured: each line with its deviation, what the cup holds, and the label as it will be printed.
import { el } from "./draw.js";
import { figures, shape } from "./figures.js";
import { fillText } from "./cup.js";
import { stepLine } from "./steps.js";
import { grams, said, word, hour } from "./words.js";

const COPIES_MAX = 9;

export function drawDone(app) {
  const s = app.screen;
  const off = s.steps.filter((step) => !["on_aim", null].includes(step.verdict)).map((step) => step.toner ?? step.name);
  const [unit, rest] = word("page.g_in_cup").split(/ (.*)/);
  return [
    el("section", { class: "done-list", tabindex: "0", role: "group", "aria-label": word("page.done") },
      ...s.steps.map((step) => stepLine(step))),
    el("section", { class: "open batch", "data-cue": "" },
      el("div", { class: "sum" },
        el("div", { class: "main" }, el("div", { class: "number" }, figures(grams(s.fill.spray_g ?? s.total_g))),
          el("div", { class: "unit" }, el("span", {}, unit), el("span", {}, rest ?? ""))),
        el("p", { class: "verdict" }, shape(off.length ? "over" : "ok"),
          el("span", {}, off.length ? word("page.not_on_aim", { toners: off.join(", ") }) : word("page.all_on_aim"))),
        s.facts.length ? el("ul", { class: "facts" }, ...s.facts.map((f) => el("li", {}, said(f)))) : null,
        el("p", { class: "fill" }, fillText(s)),
        s.sure && el("p", { class: "fill" }, said(s.sure)),
        s.use_by && el("p", { class: "useby" }, word("page.use_by", { use_by: hour(s.use_by) }).trim())),
      drawLabel(app))];
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
