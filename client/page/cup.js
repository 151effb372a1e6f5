// cup.js - the page that waits for the cup: what stands on the pan, and how full the cup will get.
import { el, fillLive } from "./draw.js";
import { fillWeight } from "./figures.js";
import { nextBelow } from "./steps.js";
import { liveReason, setCue } from "./pour.js";
import { amounts, word } from "./words.js";

// Colour, then what is to be sprayed, each with its own label; the cup where one is known.
export function fillText({ fill }) {
  const { colour_g, part, spray_ml, cup_ml } = fill;
  if (spray_ml === null || cup_ml === null) return amounts(colour_g, part, spray_ml);
  return `${amounts(colour_g, part)}, ${word("page.spray_in_cup", { spray_ml, cup_ml })}`;
}

export function drawCup(app) {
  const s = app.screen;
  return [
    el("section", { class: "open cup" },
      el("span", { class: "margin" }, word("page.cup")),
      el("div", { class: "toner" }, el("b", { class: "bigcode" }, s.formula), el("span", { class: "bigname" }, s.name ?? "")),
      el("div", { class: "main" }, el("div", { class: "number", "data-live": "" }), el("div", { class: "unit", "data-live": "" }),
        el("span", { class: "gap" }),
        el("div", { class: "cue", "data-live": "" })),
      el("div", { class: "reason", "data-live": "" }),
      el("p", { class: "fill" }, fillText(s))),
    nextBelow(app)];
}

export function liveCup(app) {
  const { weight: w, root } = app, gone = app.silent || w?.weight_g === null;
  fillWeight(app, root.querySelector(".number"), 2);
  fillLive(root.querySelector(".unit"), gone, () => [el("span", {}, gone ? "" : "g")]);
  setCue(app, gone ? "none" : "");
  liveReason(app, gone);
}
