// job.js - the shop's orders, and one of them: its coats in spraying order, what became of each, and the next one begun
// with one move. What state a coat is in is the daemon's to say.
import { el } from "./draw.js";
import { Ask, List } from "./list.js";
import { openAmount } from "./amount.js";
import { openCards } from "./cards.js";
import { drawLayers, planOf, planText } from "./layers.js";
import { call } from "./link.js";
import { coatAmount, coatName, nextCoat, putOf } from "./order.js";
import { openCoatForm, openOrderHead } from "./order_change.js";
import { openOrderForm } from "./order_form.js";
import { openRecord } from "./record.js";
import { day, fixed, grams, word } from "./words.js";

const ORDERS = 50; // of a list; older ones are found by their name

// ---- begun with one move ----

const beginMove = (app) => app.screen.moves.find((m) => m.act.method === "batch.begin");

// Where the order names no amount the amount page asks for it.
export async function beginCoat(app, order, c) {
  const move = beginMove(app);
  if (!move?.open) return;
  if (c.grams === null && !c.panels.length) {
    const what = Object.fromEntries(["formula", "coat", "variant", "product"].filter((name) => c[name]).map((name) => [name, c[name]]));
    openAmount(app, { ...what, title: `${order.order}: ${coatName(c)}`, of: { order: order.order, coat_n: c.n } });
    return;
  }
  if (await app.act(move.act, { order: order.order, coat_n: c.n })) app.home();
}

// As words of the foot line.
export const beginText = (order, c) => word("page.begin_coat", { coat: coatName(c), order: order.order });

// Open orders with a coat that waits, newest first: for the idle page.
export async function readWaiting(app) {
  const answer = await call("order.list", { limit: ORDERS }).catch(() => null);
  if (answer) app.orders = answer.orders.filter(nextCoat).map((order) => ({ order, coat: nextCoat(order) }));
}

// The order of the cup that is done, for its next coat.
export async function readHere(app) {
  const { order } = app.screen;
  app.here = order ? await call("order.get", { order }).catch(() => null) : null;
  app.draw();
}

// ---- one order ----

function coatRow(app, view, c) {
  const batch = c.batches[c.batches.length - 1], idle = beginMove(app)?.open;
  const state = word(`state.${c.state}`) + (c.station ? ` ${word("page.at_bench", { station: c.station })}` : "");
  const half = c.half && word(`page.half.${c.half}`); // of a coat in two halves what is mixed already
  const row = { text: coatName(c), detail: [coatAmount(c), half].filter(Boolean).join(", "), figure: state, coat: c };
  if (c.state !== "not_mixed") return { ...row, says: word("page.batch", { batch }), run: () => openRecord(app, batch) };
  return { ...row, says: beginText(view.order, c), wait: idle ? "" : word("page.find_shut"), run: () => beginCoat(app, view.order, c) };
}

async function close(app, view) {
  if (await app.act({ method: "order.put", params: putOf(view.order, { closed: !view.order.closed }) })) app.back();
}

const formFor = (app, order) => openOrderForm(app, order, (id) => { app.home(); openOrder(app, id); });

function rows(app, view) {
  const o = view.order;
  if (!o) return [];
  return [...o.coats.map((c) => coatRow(app, view, c)),
    { text: word("page.add_coats"), run: () => formFor(app, o) },
    ...(o.coats.some(isFree) ? [{ text: word("page.change_coat"), run: () => changeCoat(app, o) }] : []),
    { text: word("page.change_order"), run: () => openOrderHead(app, o) },
    { text: word(o.closed ? "page.reopen_order" : "page.close_order"), run: () => close(app, view) }];
}

// A coat with a batch stays as it was mixed.
const isFree = (c) => c.state === "not_mixed" && !c.batches.length;

// Of one coat alone nobody is asked which.
function changeCoat(app, o) {
  const free = o.coats.filter(isFree), open = (c) => openCoatForm(app, o, c);
  if (free.length === 1) open(free[0]);
  else app.open(new List("coats", word("page.change_coat"), () => free.map((c) => ({ text: coatName(c), detail: coatAmount(c),
    run: () => { app.back(); open(c); } }))));
}

// Whose and until when, what it cost so far, and touch-ups out of shelf cups.
function above(view) {
  const o = view.order;
  if (!o) return [];
  const cost = o.cost ? `${word("column.cost")} ${fixed(o.cost, 2)} ${o.currency}` : "";
  const facts = [o.vehicle, o.painter, o.due && word("page.due", { due: day(o.due) }), cost,
    ...o.touch_ups.map((t) => word("page.touched_up", { batch: t.batch, grams: `${grams(t.grams)} g` }))].filter(Boolean);
  const whole = planText(view.plan);
  return [el("p", { class: "who" }, facts.join(", ")), whole && el("p", { class: "both" }, word("page.all_coats", { text: whole }))].filter(Boolean);
}

export function openOrder(app, id) {
  const view = new List("order", () => word("page.order", { order: id }), (a) => rows(a, view), {
    above: () => above(view), empty: "", beside: (a, row) => drawLayers(view.plan, row?.coat),
    secondOf: (a, row) => row.coat?.formula && { text: word("page.cards"), run: () => openCards(a, {
      formula: row.coat.formula, coat: row.coat.coat, variant: row.coat.variant, batch: row.coat.batches.at(-1) ?? null, order: id }) },
    read: async (a) => {
      [view.order, view.plan] = await Promise.all([a.ask("order.get", { order: id }), planOf(a, id)]);
      view.chosen = Math.max(0, view.order?.coats.findIndex((c) => c.state === "not_mixed") ?? 0);
      a.draw();
    } });
  app.open(view);
}

// ---- all orders ----

function orderRow(app, o) {
  const mixed = o.coats.filter((c) => c.state === "mixed" || c.state === "left_over").length;
  const next = nextCoat(o);
  return { text: o.order, detail: [o.vehicle, o.painter, next && `${word("page.then")} ${coatName(next)}`].filter(Boolean).join(", "),
    figure: o.coats.length ? word("page.coats_mixed", { mixed, all: o.coats.length }) : "", says: word("page.order", { order: o.order }),
    run: () => openOrder(app, o.order) };
}

const askSearch = (app, view) => app.open(new Ask("ask", word("page.find_order"), {
  ask: "text", label: word("page.find_order"), says: (value) => `${word("page.find_order")}: ${value}`,
  run(a, value) { view.text = value; a.back(); } }));

export function openJob(app) {
  const view = new List("job", word("page.job"), (a) => [
    ...(view.orders ?? []).map((o) => orderRow(a, o)),
    { text: word("page.new_order"), run: () => formFor(a, null) },
    { text: word("page.find_order"), figure: view.text ?? "", run: () => askSearch(a, view) },
    { text: word("page.cards"), run: () => openCards(a, {}) }], {
    secondOf: (a) => ({ text: word("page.new_order"), run: () => formFor(a, null) }),
    read: async (a) => {
      view.orders = (await a.ask("order.list", view.text ? { text: view.text, open: false, limit: ORDERS } : { limit: ORDERS }))?.orders ?? [];
      a.draw();
    } });
  app.open(view);
}
