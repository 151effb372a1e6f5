// idle.js - nothing is mixed: coats of orders that wait, then today's batches, each to be mixed again or taken up, and a
// small weight that tells that the scale lives. After ten minutes alone only clock and `idle` are left, dim.
import { el } from "./draw.js";
import { fillWeight } from "./figures.js";
import { openAmount } from "./amount.js";
import { coatAmount, coatName } from "./order.js";
import { endMove } from "./practice.js";
import { grams, hour, word } from "./words.js";

const DIM_MS = 600000;
const WAITING = 4; // orders shown, so that today's batches keep digits of their own

// What the digits choose, from the first: {order, coat} or {batch}.
const lines = (app) => [...(app.orders ?? []).slice(0, WAITING), ...(app.today ?? []).map((batch) => ({ batch }))];
const keyOf = (l) => (l.batch ? l.batch.batch : `${l.order.order}/${l.coat.n}`);
const picked = (app) => lines(app).find((l) => keyOf(l) === app.picked);

export function drawIdle(app) {
  const rows = lines(app), waiting = rows.filter((l) => l.order).length, drawn = rows.map((l, i) => lineOf(app, l, i));
  return [
    el("section", { class: "open idle", "data-cue": "" },
      el("div", { class: "main" }, el("div", { class: "number small", "data-live": "" }), el("div", { class: "unit" }, el("span", {}, "g")),
        el("span", { class: "gap" }), el("span", { class: "idle-word" }, word("page.idle")),
          el("span", { class: "clock", "data-live": "" }))),
    el("section", { class: "today" },
      waiting > 0 && el("h2", {}, word("page.waiting")),
      ...drawn.slice(0, waiting),
      !app.screen.practice && el("h2", {}, word("page.today")),
      ...(rows.length > waiting ? drawn.slice(waiting) : [el("p", {}, word(app.screen.practice ? "page.practise_here" : "page.nothing_today"))]),
      app.sound?.asleep && el("p", { class: "who" }, word("page.sound_needs_touch")))];
}

function lineOf(app, l, i) {
  const chosen = app.picked === keyOf(l);
  return el("button", { class: `pick ${chosen ? "chosen" : ""}`, type: "button", "aria-pressed": chosen, onclick: () => pick(app, i) },
    el("span", { class: "digit" }, i < 9 ? String(i + 1) : ""), ...(l.batch ? batchParts(l.batch) : waitingParts(l)));
}

const waitingParts = ({ order, coat }) => [el("b", {}, word("page.order", { order: order.order })), el("span", {}, coatName(coat)),
  el("span", { class: "who minor" }, order.vehicle ?? ""), el("span", { class: "gap" }), el("b", { class: "sum" }, coatAmount(coat)),
  el("span", { class: "at minor" }, order.painter ?? "")];

function batchParts(b) {
  const who = [b.coat && word(`coat.${b.coat}`), b.variant !== "standard" && b.variant, b.order && word("page.order", { order: b.order }),
    b.painter,
    b.state === "held" && b.station].filter(Boolean).join(", ");
  return [el("b", {}, b.formula ?? word("page.batch", { batch: b.batch })),
    el("span", {}, b.name ?? ""),
    el("span", { class: "who" }, who), el("span", { class: "gap" }),
    el("span", { class: "who minor" }, word(`state.${b.state}`)), el("b", { class: "sum" }, `${grams(b.total_g)} g`),
    el("span", { class: "at minor" }, hour(b.begun))];
}

// Pressed once more the line is shut again.
export function pick(app, i) {
  const l = lines(app)[i];
  if (!l) return;
  app.picked = app.picked === keyOf(l) ? null : keyOf(l);
  app.draw();
}

export function pickStep(app, by) {
  const rows = lines(app);
  const at = rows.findIndex((l) => keyOf(l) === app.picked) + by;
  if (rows.length) pick(app, Math.min(rows.length - 1, Math.max(0, at)));
}

// Nothing has stirred for so long: no key, no touch, no weight.
export const isDim = (app) => app.screen.state === "idle" && performance.now() - app.stirredAt > DIM_MS;

export function liveIdle(app) {
  const { root } = app;
  fillWeight(app, root.querySelector(".number"));
  const clock = root.querySelector(".clock"), now = new Date().toTimeString().slice(0, 5);
  if (clock && clock.textContent !== now) clock.textContent = now;
  root.classList.toggle("dim", isDim(app));
}

// The next coat of an order begins with one move; `.` shows the order.
const waitingSill = (app, { order, coat }) => ({ kind: "key", text: word("page.begin_coat", { coat: coatName(coat), order: order.order }),
  run: () => app.beginCoat(order, coat), second: { text: word("page.order", { order: order.order }), run: () => app.openOrder(app, order.order) } });

export function idleSill(app) {
  const s = app.screen, l = picked(app), b = l?.batch;
  const find = { text: word("footline.find"), run: () => app.openFind?.(app) };
  if (!l && s.practice) return { kind: "key", ...find, second: endMove(app) };
  if (!l) return { kind: "key", ...find, second: { text: s.signed_in ?? word("page.people"), run: () => app.openPeople?.(app) } };
  if (l.order) return waitingSill(app, l);
  const record = { text: word("page.batch", { batch: b.batch }), run: () => app.openRecord?.(app, b.batch) };
  const resume = s.moves.find((m) => m.act.method === "batch.resume");
  if (b.state === "held" && resume?.open)
    return { kind: "key", text: word("footline.resume", { batch: b.batch, formula: b.formula ?? "", coat: b.coat ?? "" }),
      run: () => app.act(resume.act, { batch: b.batch }), second: record };
  if (b.state !== "finished") return { kind: "key", ...record, second: find };
  const title = word("page.amount_again", { batch: `${b.formula ?? ""} ${b.name ?? ""}`.trim() });
  return { kind: "key", text: word("footline.mix_again", { batch: b.batch }),
    run: () => openAmount(app, { repeat: b.batch, as: "poured", title, shelf: b }), second: record };
}
