// idle.js - nothing is mixed: today's batches, each to be mixed again or taken up, and a small weight that tells that
// the scale lives. After ten minutes alone only clock and `idle` are left, dim.
import { el } from "./draw.js";
import { figures } from "./figures.js";
import { openAmount } from "./amount.js";
import { grams, hour, word } from "./words.js";

const DIM_MS = 600000;

export function drawIdle(app) {
  const rows = app.today ?? [];
  return [
    el("section", { class: "open idle", "data-cue": "" },
      el("div", { class: "main" }, el("div", { class: "number small", "data-live": "" }), el("div", { class: "unit" }, el("span", {}, "g")),
        el("span", { class: "gap" }), el("span", { class: "idle-word" }, word("page.idle")),
          el("span", { class: "clock", "data-live": "" }))),
    el("section", { class: "today" },
      el("h2", {}, word("page.today")),
      ...(rows.length ? rows.map((b, i) => batchLine(app, b, i)) : [el("p", {}, word("page.nothing_today"))]),
      app.sound?.asleep && el("p", { class: "who" }, word("page.sound_needs_touch")))];
}

function batchLine(app, b, i) {
  const who = [b.coat && word(`coat.${b.coat}`), b.variant !== "standard" && b.variant, b.order && word("page.order", { order: b.order }),
    b.painter,
    b.state === "held" && b.station].filter(Boolean).join(", ");
  const chosen = app.picked === b.batch;
  return el("button", { class: `pick ${chosen ? "chosen" : ""}`, type: "button", "aria-pressed": chosen, onclick: () => pick(app, i) },
    el("span", { class: "digit" }, String(i + 1)), el("b", {}, b.formula ?? word("page.batch", { batch: b.batch })),
      el("span", {}, b.name ?? ""),
    el("span", { class: "who" }, who), el("span", { class: "gap" }),
    el("span", { class: "who minor" }, word(`state.${b.state}`)), el("b", { class: "sum" }, `${grams(b.total_g)} g`),
      el("span", { class: "at minor" }, hour(b.begun)));
}

// Pressed once more the line is shut again.
export function pick(app, i) {
  const b = app.today?.[i];
  if (!b) return;
  app.picked = app.picked === b.batch ? null : b.batch;
  app.draw();
}

export function pickStep(app, by) {
  const rows = app.today ?? [];
  const at = rows.findIndex((b) => b.batch === app.picked) + by;
  if (rows.length) pick(app, Math.min(rows.length - 1, Math.max(0, at)));
}

// Nothing has stirred for so long: no key, no touch, no weight.
export const isDim = (app) => app.screen.state === "idle" && performance.now() - app.stirredAt > DIM_MS;

export function liveIdle(app) {
  const { weight: w, root } = app;
  root.querySelector(".number")?.replaceChildren(figures(grams(w?.weight_g ?? NaN),
    { dead: app.silent || w?.weight_g === null, faded: !app.fresh }));
  const clock = root.querySelector(".clock"), now = new Date().toTimeString().slice(0, 5);
  if (clock && clock.textContent !== now) clock.textContent = now;
  root.classList.toggle("dim", isDim(app));
}

export function idleSill(app) {
  const s = app.screen, b = app.today?.find((x) => x.batch === app.picked);
  const find = { text: word("footline.find"), run: () => app.openFind?.(app) };
  if (!b) return { kind: "key", ...find };
  const record = { text: word("page.batch", { batch: b.batch }), run: () => app.openRecord?.(app, b.batch) };
  const resume = s.moves.find((m) => m.act.method === "batch.resume");
  if (b.state === "held" && resume?.open)
    return { kind: "key", text: word("footline.resume", { batch: b.batch, formula: b.formula ?? "", coat: b.coat ?? "" }),
      run: () => app.act(resume.act, { batch: b.batch }), second: record };
  if (b.state !== "finished") return { kind: "key", ...record, second: find };
  const title = word("page.amount_again", { batch: `${b.formula ?? ""} ${b.name ?? ""}`.trim() });
  return { kind: "key", text: word("footline.mix_again", { batch: b.batch }),
    run: () => openAmount(app, { repeat: b.batch, as: "poured", title }), second: record };
}
