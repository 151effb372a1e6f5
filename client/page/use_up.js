// use_up.js - cups of the shelf that could go into what is planned, or into the coat that waits: the daemon's mix.workoff
// in words, and what is in the cup already as it is written. It must not know which cups suit.
import { el } from "./draw.js";
import { call } from "./link.js";
import { coatName, nextCoat } from "./order.js";
import { fixed, grams, typed, word } from "./words.js";

const ORDERS = 50; // of a list

// ---- what is written: `1031 120 + 1007 46,5` ----

const CUP = /^#?(?:POISE:)?(\d+)$/i;

// As batch.begin takes it; null: nothing is written, or it is no list of cups with their grams.
export function haveOf(text) {
  const words = text.split(/[\s+;]+/).filter(Boolean), have = [];
  for (let i = 0; i < words.length; i += 2) have.push({ batch: CUP.exec(words[i])?.[1], grams: typed(words[i + 1] ?? "") });
  return have.length && have.every((h) => h.batch && h.grams > 0) ? have : null;
}

const haveText = (have) => have.map((h) => `${h.batch} ${fixed(h.grams, 2)}`).join(" + ");

// ---- in words ----

export function usesText(answer, currency) {
  const cups = answer.have.map((h) => `#${h.batch} ${grams(h.grams)} g`).join(", "), { pour_g, saved } = answer;
  return saved > 0 ? word("page.workoff_saves", { cups, pour_g, cost: `${fixed(saved, 2)} ${currency}` }) : word("page.workoff", { cups, pour_g });
}

// ---- offered on the amount page ----

// What the shelf could give to a plan; null: nothing.
export async function usesOf(params) {
  const answer = params.product && !params.formula ? null : await call("mix.workoff", params).catch(() => null);
  return answer?.have?.length ? answer : null;
}

export const offerUses = (view, app, answer) => el("section", { class: "rows offers" }, el("button", { type: "button", class: "pick uses",
  onclick: () => {
    view.values.have = haveText(answer.have);
    view.changed(app, "have");
    app.draw();
  } },
  el("b", {}, word("page.from_shelf")), el("span", { class: "who" }, usesText(answer, view.plan?.currency ?? "")),
  el("span", { class: "gap" })));

// ---- one cup into the coat that waits ----

// What an order waits for that the cup could go into: one of its own colour before others.
async function waitingFor(cup) {
  const answer = await call("order.list", { limit: ORDERS }).catch(() => null);
  const waiting = (answer?.orders ?? []).map((order) => ({ order, coat: nextCoat(order) })).filter(({ coat }) => coat?.formula);
  return waiting.find(({ coat }) => coat.formula === cup.formula) ?? waiting[0] ?? null;
}

// Reads it into view.uses: {order, coat, answer}.
export async function readUses(app, view) {
  const into = cupGoes(view.cup) ? await waitingFor(view.cup) : null;
  const answer = into && await call("mix.workoff", { station: app.station, order: into.order.order, coat_n: into.coat.n }).catch(() => null);
  view.uses = into && { ...into, answer };
  app.draw();
}

export const cupGoes = (c) => !c.activated && (c.left_g ?? 1) > 0;

// Why the cup stays; "": it goes.
function stays(uses, batch) {
  const { answer } = uses;
  if (!answer || answer.have.some((h) => h.batch === batch)) return "";
  const i = answer.batches.indexOf(batch);
  return word(`book.workoff.${i < 0 ? "foreign" : answer.why[i] ?? "none"}`);
}

export function usesRow(app, view, begin) {
  const { uses, cup } = view;
  if (!uses) return { text: word("page.workoff_into_none"), shut: word("page.no_coat_waits") };
  const { order, coat, answer } = uses, shut = stays(uses, cup.batch);
  return { text: word("page.workoff_into", { formula: coat.formula, coat: coat.coat, order: order.order }), shut: begin ? shut : word("page.find_shut"),
    detail: answer && !shut ? usesText(answer, app.info.currency ?? "") : coatName(coat),
    run: async () => {
      if (answer && await app.act({ method: "batch.begin", params: { station: app.station, order: order.order, coat_n: coat.n, have: answer.have } })) app.home();
    } };
}
