// steps.js - the formula as lines: what is done above the open line, what comes next below it, and the whole of it.
import { el, line } from "./draw.js";
import { grams, said, word } from "./words.js";

const WHOLE_MS = 8000; // so long the whole formula stays open

const verdictWord = { short: "page.short", over: "page.over", left: "page.left", foreign: "page.foreign", tinted: "page.tinted" };

// What is still to pour of a step, or all of it; "" where the eye decides.
const figureOf = (step) => (step.aim_g === null ? "" : grams(step.to_go_g ?? step.aim_g));

// A cup of the shelf has its number for a code; a taking out has neither toner nor cup.
export const codeOf = (step) => step.toner ?? step.batch ?? "";
export const nameOf = (step) => (step.batch ? word("page.shelf_cup") : step.name ?? "");
export const isTakingOut = (now) => now.toner === null && !now.batch;

export function stepLine(step, large = false) {
  const done = step.state === "done";
  const margin = done ? word(verdictWord[step.verdict] ?? "page.done") : word(`page.${step.state}`);
  const off = step.off_g === null ? "" : grams(step.off_g, true);
  const looks = step.de00?.said && (done || step.verdict === "over") ? `, ${said(step.de00.said)}` : "";
  return line(margin, codeOf(step), `${nameOf(step)}${looks}`, done ? grams(step.poured_g) : figureOf(step), off,
    `${step.state} ${large ? "large" : ""} ${step.verdict ?? ""}`);
}

// The last one done; pressing it opens the whole formula.
export function doneAbove(app) {
  const done = app.screen.steps.filter((step) => step.state === "done");
  const last = done[done.length - 1];
  return last ? [opens(app, "done-above", stepLine(last))] : [];
}

// One large, one small, the rest in one line.
export function nextBelow(app) {
  const s = app.screen;
  const next = s.steps.filter((step, i) => (step.state === "next" || step.state === "again") && i !== s.step - 1)
    .sort((a, b) => Number(Boolean(b.batch)) - Number(Boolean(a.batch))); // cups of the shelf come before the tins
  const rest = next.slice(2).map((step) => `${codeOf(step)} ${figureOf(step)}`.trim()).join(", ");
  if (!next.length) return null;
  return opens(app, "next-below", ...next.slice(0, 2).map((step, i) => stepLine(step, i === 0)),
    rest && el("p", { class: "then" }, `${word("page.then")} ${rest}`));
}

const opens = (app, kind, ...lines) =>
  el("button", { type: "button", class: kind, "aria-expanded": "false", onclick: () => openWhole(app) }, ...lines);

// Every line, for a while; another key or touch closes it sooner.
export function openWhole(app) {
  app.wholeUntil = performance.now() + WHOLE_MS;
  app.draw();
}

export const wholeIsOpen = (app) => performance.now() < (app.wholeUntil ?? 0);

export function closeWhole(app) {
  app.wholeUntil = 0;
}

export function wholeFormula(app) {
  return el("button", { type: "button", class: "formula", "aria-expanded": "true", onclick: () => { closeWhole(app); app.draw(); } },
    ...app.screen.steps.map((step) => stepLine(step)));
}
