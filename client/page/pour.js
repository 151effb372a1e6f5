// pour.js - the open line: what is poured now, how much is to go, and what the hand should do. Also when paint is taken
// out, when the cup is off the scale, and when no weight comes.
import { el, fillLive } from "./draw.js";
import { fillFigures, shape } from "./figures.js";
import { Ruler } from "./ruler.js";
import { closeWhole, codeOf, doneAbove, isTakingOut, nameOf, nextBelow, wholeFormula, wholeIsOpen } from "./steps.js";
import { decimalsOf, grams, hourAndSecond, said, sentence, word } from "./words.js";

const ruler = new Ruler("pour");
const STOP_MS = 800; // `stop`, once shown, stays so long: the block never flickers
const LAST_MS = 60000; // an older last weight helps nobody
const BY_EYE_ROOM = 3; // figures before the point where no aim tells how many there will be
const STROKES = { stop: 17, ease: 15 };

const cueWord = { pour: "cue.pour", ease: "cue.ease", stop: "cue.stop", ok: "page.on_aim", over: "page.cue_over", none: "page.no_weight",
  lifted: "page.lifted", wrong_tin: "page.wrong_tin_cue",
  wrong_cup: "page.wrong_cup_cue" };

// ---- drawn anew with each screen ----
export function drawPour(app) {
  if (wholeIsOpen(app) && !app.silent && !app.screen.lifted) return [openLine(app, " compact"), wholeFormula(app)];
  closeWhole(app);
  return [...doneAbove(app), openLine(app), nextBelow(app)];
}

// more: `compact` where the whole formula stands below it.
function openLine(app, more = "") {
  const s = app.screen, { now } = s;
  const dip = isTakingOut(now);
  const again = s.steps[s.step - 1]?.state === "again";
  return el("section", { class: `open${more}`, "data-of": `${s.batch}/${s.step}` },
    el("div", { class: "hatch" }),
    el("span", { class: "margin" }, dip ? "" : again ? word("page.again") : word("page.now")),
    el("div", { class: "toner" },
      el("b", { class: "bigcode" }, dip ? word("page.take_out") : codeOf(now)), el("span", { class: "bigname" }, dip ? "" : nameOf(now)),
      now.lot && el("span", { class: "lot" }, word("page.of_lot", { lot: now.lot })),
      el("span", { class: "gap" }), el("span", { class: "amounts", "data-live": "" })),
    el("div", { class: "main" },
      el("div", { class: "number", "data-live": "" }), el("div", { class: "unit", "data-live": "" }), el("span", { class: "gap" }),
      el("div", { class: "cue", "aria-live": "assertive", "data-live": "" })),
    el("div", { class: "reason", "data-live": "" }),
    dip ? null : el("div", { class: "rule", "data-live": "" }));
}

// ---- drawn with each weight ----
// Shape and word of a cue; "" shows none. The place is the same in every state.
export function setCue(app, cue) {
  const box = app.root.querySelector(".cue");
  const text = cue && word(cueWord[cue]);
  if (!box || (box.dataset.cue === cue && box.dataset.said === text)) return;
  Object.assign(box.dataset, { cue, said: text });
  box.replaceChildren(...(cue ? [shape(cue.startsWith("wrong") ? "over" : cue), el("span", {}, text)] : []));
  box.classList.toggle("two", ["ok", "none", "lifted", "wrong_tin", "wrong_cup"].includes(cue));
  const open = app.root.querySelector(".open");
  open.dataset.cue = cue;
  app.root.dataset.cue = cue;
}

// Figures finer than the tolerance are half as high: how many of them there are.
function finer(app) {
  const tolerance = app.screen.now.tolerance_g ?? 0, d = decimalsOf(app.info.scales?.[app.station]?.d_g);
  let n = 0;
  while (n < d && tolerance >= 10 ** -(d - n - 1) / 2) n++;
  return n;
}

// The cue that is shown: that of the newest weight, but `stop` stays a while.
function shownCue(app, cue) {
  const t = performance.now(), shown = app.root.querySelector(".cue")?.dataset.cue;
  if (cue === "stop" && shown !== "stop") app.stopUntil = t + STOP_MS;
  if (isTakingOut(app.screen.now) && cue !== "ok") return ""; // a spoon is told by the figure alone
  return shown === "stop" && ["pour", "ease", "ok"].includes(cue) && t < (app.stopUntil ?? 0) ? "stop" : cue;
}

// What was last seen of this step, with its hour: shown as dead figures while no weight comes.
function remember(app) {
  const w = app.weight, at = `${app.screen.batch}/${app.screen.step}`;
  const local = new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString();
  app.last = { of: at, to_go_g: w.to_go_g, in_cup_g: w.in_cup_g, weight_g: w.weight_g, hour: hourAndSecond(local),
    seen: performance.now() };
}

// Figures before the point that this step needs, so that the point stays where it is.
function roomOf(app, shown) {
  const { now, batch, step } = app.screen, of = `${batch}/${step}/${codeOf(now)}`;
  const digits = (g) => String(Math.floor(Math.abs(g ?? 0))).length;
  const least = now.aim_g === null ? BY_EYE_ROOM : digits(now.aim_g);
  app.room = { of, figures: Math.max(app.room?.of === of ? app.room.figures : least, digits(shown)) };
  return app.room.figures;
}

// live: shown as it is; faded: nothing came for half a second; dead: no weight, or the cup is off; none: the scale says
// something else than a weight.
function conditionOf(app) {
  const s = app.screen, w = app.weight;
  if (s.lifted) return "lifted";
  if (app.limited) return "none";
  if (app.silent || !w) return "dead";
  if (w.weight_g === null) return "none";
  return app.fresh ? "live" : "faded";
}

// Grams that the large figures show, and the word beside them.
function shownOf(app, condition) {
  const { now } = app.screen, last = app.last?.of === `${app.screen.batch}/${app.screen.step}` ? app.last : null;
  const from = condition === "live" || condition === "faded" ? app.weight : (last ?? now);
  const toGo = from.to_go_g ?? null;
  if (toGo === null) return { grams: from.in_cup_g ?? 0, toGo, inCup: from.in_cup_g, unit: "page.g_in_cup" };
  const unit = isTakingOut(now) ? "page.g_to_take_out" : toGo >= 0 ? "page.g_to_go" : from.cue === "over" ? "page.g_over" : "page.g_past";
  return { grams: Math.abs(toGo), toGo, inCup: from.in_cup_g, unit };
}

export function livePour(app) {
  const { screen: s, weight: w, root } = app, condition = conditionOf(app);
  if (!s.now || !root.querySelector(".amounts")) return;
  if (condition === "live") remember(app);
  const alive = condition === "live" || condition === "faded";
  const shown = shownOf(app, condition);
  const cue = app.wrong ? app.wrong.code : alive ? shownCue(app, w.cue ?? "") : condition === "lifted" ? "lifted" : "none";
  const text = grams(shown.grams);
  fillFigures(root.querySelector(".number"), condition === "none" ? text.replace(/\d/g, "\u2212") : text,
    { dead: !alive, struck: condition !== "none", faded: condition === "faded", small: finer(app), room: roomOf(app, shown.grams),
      stroke: STROKES[cue] ?? 13 });
  const [unit, words] = alive ? word(shown.unit).split(/ (.*)/) : ["", ""];
  fillLive(root.querySelector(".unit"), `${unit} ${words}`, () => [el("span", {}, unit), el("span", {}, words ?? "")]);
  liveAmounts(app, shown, alive);
  setCue(app, condition === "faded" && !app.wrong ? "" : cue);
  liveReason(app, !alive);
  liveRuler(app, condition, shown.toGo);
}

function liveAmounts(app, shown, alive) {
  const { now } = app.screen, inCup = alive ? shown.inCup ?? 0 : now.in_cup_g;
  const pair = (label, g) => [label, grams(Math.abs(g ?? 0))];
  const parts = isTakingOut(now) ? [pair(word("page.take_out"), now.aim_g), pair(word("page.out_so_far"), inCup)]
    : [now.aim_g !== null && pair(word("column.aim"), now.aim_g), pair(word("column.in_cup"), inCup)];
  const shownParts = parts.filter(Boolean);
  fillLive(app.root.querySelector(".amounts"), shownParts.join(), () => shownParts.map(([label, g]) => el("span", {}, label, " ", el("b", {}, g))));
}

// Why there is no weight, in the daemon's words, and what was in the cup last.
export function liveReason(app, gone) {
  const box = app.root.querySelector(".reason");
  if (!box) return;
  const texts = gone ? reasons(app) : [], key = texts.join("\n");
  if (box.dataset.said === key) return;
  box.dataset.said = key;
  box.replaceChildren(...texts.map((text, i) => el("p", { class: i === 0 ? "rubric" : "" }, text)));
}

function reasons(app) {
  const s = app.screen, last = app.last, recent = last && performance.now() - last.seen < LAST_MS;
  if (app.lost) return [word("page.lost")];
  if (s.lifted) return [word("page.lifted_reason"), recent && app.weight?.weight_g !== null && app.weight
    ? word("page.scale_was", { weight_g: app.weight.weight_g, before_g: app.lastStanding ?? last.weight_g }) : ""].filter(Boolean);
  const silent = Math.floor((performance.now() - app.seenAt) / 1000);
  const quiet = !app.limited && silent > 0 && silent < 3600 && app.weight?.state !== "absent" && app.weight?.state !== "seeking";
  const why = quiet ? word("page.silent", { silent_s: silent }) : s.trouble ? sentence(said(s.trouble.said)) : word("page.no_weight_yet");
  return [why, recent && app.screen.state === "pour" ? word("page.last_in_cup", { in_cup_g: last.in_cup_g ?? 0, at: last.hour })
    : ""].filter(Boolean);
}

function liveRuler(app, condition, toGo) {
  const box = app.root.querySelector(".rule"), { now } = app.screen, w = app.weight;
  if (!box || now.aim_g === null) return;
  const alive = condition === "live" || condition === "faded";
  ruler.fit(box, now.aim_g, now.tolerance_g, !alive);
  // Both are of this component, so what lands later is so much less to go.
  const landing = condition !== "live" || (w.landing_g ?? null) === null || toGo === null ? null : toGo - (w.landing_g - w.in_cup_g);
  ruler.move(toGo, landing);
}
