// bench.js - the lowest view: which page the bench's state has, and what its foot line and keys do. The pages know how
// they look; the daemon knows what is to be done.
import { actOrAsk } from "./ask.js";
import { drawCup, liveCup } from "./cup.js";
import { copyStep, doneSill, drawDone, pickNext } from "./done.js";
import { drawIdle, idleSill, isDim, liveIdle, pick, pickStep } from "./idle.js";
import { drawPour, livePour } from "./pour.js";
import { choose, drawOver, liveOver, overSill, remedyMoves } from "./remedies.js";
import { openWhole, wholeIsOpen } from "./steps.js";
import { handDigit, handRow } from "./practice.js";
import { said } from "./words.js";

const pages = {
  idle: { draw: drawIdle, live: liveIdle, sill: idleSill, digit: (app, n) => pick(app, n - 1), step: pickStep },
  cup: { draw: drawCup, live: liveCup },
  pour: { draw: drawPour, live: liveWhole, step: openWhole },
  over: { draw: drawOver, live: liveOver, sill: overSill, digit: (app, n) => choose(app, n - 1), step: nextRemedy },
  done: { draw: drawDone, sill: (app) => doneSill(app, usualSill(app)), digit: (app, n) => n === 1 && pickNext(app), step: copyStep },
};

function liveWhole(app) {
  if (app.root.querySelector(".formula") && (!wholeIsOpen(app) || app.silent)) app.draw();
  else livePour(app);
}

function nextRemedy(app, by) {
  const moves = remedyMoves(app.screen), at = moves.findIndex((m) => m.act.params.choice === app.choice);
  choose(app, Math.min(moves.length - 1, Math.max(0, at + by)));
}

const sill = (app) => (pages[app.screen.state].sill ?? usualSill)(app);

// The foot line as the daemon has it.
function usualSill(app) {
  const s = app.screen, { next } = s, second = next.second && { text: said(next.second.said), run: () => actOrAsk(app, next.second) };
  const more = s.state === "done" && next.act?.params.label !== undefined ? { label: app.copies ?? 1 } : {};
  if (next.kind === "key" && next.act) return { kind: "key", text: said(next.said) + (next.in_s ? ` (${next.in_s} s)` : ""), run: () => actOrAsk(app, next, more), second };
  return { kind: next.kind === "wait" ? "wait" : "hand", text: said(next.said), second };
}

export const bench = {
  name: "bench",
  key: ({ screen: s }) => `${s.batch}/${s.state}/${s.step}/${s.lifted}`,
  draw(app) {
    const { state } = app.screen;
    const kind = [`in-${state}`, state === "over" && !app.answered ? "unanswered" : "", isDim(app) ? "dim" : ""].filter(Boolean).join(" ");
    return { kind, body: [...pages[state].draw(app), handRow(app)].filter(Boolean) };
  },
  live: (app) => pages[app.screen.state].live?.(app),
  // What waits may have been put in on the page that was left.
  read: (app) => { if (app.screen.state === "idle") app.becameIdle?.(); },
  sill,
  digit: (app, n) => handDigit(app, n) || pages[app.screen.state].digit?.(app, n),
  step: (app, by) => pages[app.screen.state].step?.(app, by),
};
