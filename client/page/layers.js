// layers.js - an order's coats planned at once: beside the chosen coat what it takes, in which cups, how long it flashes
// off and what it costs. All of it is the daemon's plan.
import { el, line } from "./draw.js";
import { call } from "./link.js";
import { amounts, fixed, grams, said, word } from "./words.js";

// {layers, cost, currency, wait_min}; null where the order cannot be planned (a coat without an amount, say).
export const planOf = (app, order) => call("mix.plan", { station: app.station, order }).catch(() => null);

const minutes = (wait_min) => (wait_min === null || wait_min === undefined ? "" : word("plan.wait", { minutes: `${fixed(wait_min, 0)} min` }));
const money = (cost, currency) => (cost === null || cost === undefined ? "" : word("plan.cost", { cost: `${fixed(cost, 2)} ${currency}` }));
const cupText = (cups) => cups.map((c) => `${c.cup}: ${fixed(c.ml, 0)} mL`).join(", ");

// Of the whole order, in one line; "": nothing is known.
export function planText(plan) {
  return plan ? [minutes(plan.wait_min), money(plan.cost, plan.currency)].filter(Boolean).join(", ") : "";
}

// One layer: a coat, or of one with both kinds of panels its jambs and edges or its outsides.
function layerOf(l, halves) {
  const name = !halves ? "" : l.edges ? word("option.edges") : word("option.outsides");
  const facts = [l.cups?.length && word("page.into_cups", { cups: cupText(l.cups) }), minutes(l.wait_min), money(l.cost, l.currency)].filter(Boolean);
  return el("section", { class: "layer" }, name && el("p", { class: "both" }, name), el("p", { class: "both" }, amounts(l.total_g, l.part, l.ready_ml)),
    facts.length ? el("p", { class: "who" }, facts.join(", ")) : null,
    ...(l.learnt ?? []).map((s) => el("p", { class: "who" }, said(s))),
    ...(l.warnings ?? []).map((w) => el("p", { class: "rubric" }, said({ code: w.code, args: w.args ?? {} }))),
    ...l.components.map((c) => line("", c.toner, c.name ?? "", grams(c.aim_g))),
    ...(l.additions ?? []).filter((a) => a.toner !== l.reducer?.toner).map((a) => line("", a.toner, a.name ?? "", grams(a.grams))),
    l.reducer && line("", l.reducer.toner, l.reducer.name ?? "", grams(l.reducer.grams)));
}

// Beside the list of coats: what the chosen one takes. null: nothing is planned of it.
export function drawLayers(plan, coat) {
  const layers = coat ? (plan?.layers ?? []).filter((l) => l.coat_n === coat.n) : [];
  if (!layers.length) return null;
  return el("section", { class: "plan", tabindex: "0", role: "group", "aria-label": word("page.what_it_takes") },
    ...layers.map((l) => layerOf(l, layers.length > 1 || l.edges)));
}
