// bench.js - the bench in each of its states: idle, cup, pour (with taking out and a lifted cup), over, done.
import { el, line } from "./draw.js";
import { figures, shape } from "./figures.js";
import { Ruler } from "./ruler.js";
import { fixed, grams, said, word, hour, hourAndSecond, decimalsOf } from "./words.js";

const ruler = new Ruler();
const STOP_MS = 800; // `stop`, once shown, stays so long: the block never flickers

const verdictWord = { short: "page.short", over: "page.over", left: "page.left", foreign: "page.foreign", tinted: "page.tinted" };

// ---- lines of the formula ----
function stepLine(s, step, large = false) {
  const margin = step.state === "done" ? word(verdictWord[step.verdict] ?? "page.done") : word(`page.${step.state}`);
  const figure = step.state === "done" ? grams(step.poured_g) : step.aim_g === null ? "" : grams(step.to_go_g ?? step.aim_g);
  const off = step.state === "done" && step.aim_g !== null ? grams(step.poured_g - step.aim_g, true) : "";
  return line(margin, step.toner ?? "", step.name ?? "", figure, off, `${step.state} ${large ? "large" : ""} ${step.verdict ?? ""}`);
}

function doneAbove(s) {
  const done = s.steps.filter((step) => step.state === "done");
  return done.length ? [el("section", { class: "done-above" }, stepLine(s, done[done.length - 1]))] : [];
}

// One large, one small, the rest in one line.
function nextBelow(s) {
  const next = s.steps.filter((step) => step.state === "next" || step.state === "again").filter((step) => s.steps.indexOf(step) !== s.step - 1);
  const rest = next.slice(2).map((step) => `${step.toner ?? step.name} ${grams(step.to_go_g ?? step.aim_g)}`).join(", ");
  return el("section", { class: "next-below" }, ...next.slice(0, 2).map((step, i) => stepLine(s, step, i === 0)),
    rest && el("p", { class: "then" }, `${word("page.then")} ${rest}`));
}

// ---- the open line ----
// Figures finer than the tolerance are half as high.
function finer(d_g, tolerance_g) {
  const d = decimalsOf(d_g);
  let n = 0;
  while (n < d && tolerance_g >= 10 ** -(d - n - 1) / 2) n++;
  return n;
}

function openLine(app) {
  const s = app.screen, { now } = s;
  const dip = now.toner === null;
  const margin = dip ? word("page.take_out") : word(`page.${s.steps[s.step - 1]?.state === "again" ? "again" : "now"}`);
  const code = dip ? "" : now.toner;
  return el("section", { class: "open" },
    el("div", { class: "hatch" }),
    el("span", { class: "margin" }, margin),
    el("div", { class: "toner" }, code && el("b", { class: "bigcode" }, code), el("span", { class: "bigname" }, now.name ?? ""),
      el("span", { class: "gap" }), el("span", { class: "amounts" })),
    el("div", { class: "main" }, el("div", { class: "number" }), el("div", { class: "unit" }), el("span", { class: "gap" }),
      el("div", { class: "cue", role: "status", "aria-live": "assertive" })),
    el("div", { class: "reason" }),
    dip ? el("div", { class: "noruler" }) : el("div", { class: "rule" }, ruler.svg));
}

const cueWord = { pour: "cue.pour", ease: "cue.ease", stop: "cue.stop", ok: "page.on_aim", over: "page.cue_over", none: "page.no_weight" };

function setCue(root, cue) {
  const box = root.querySelector(".cue");
  if (!box || box.dataset.cue === cue) return;
  box.dataset.cue = cue;
  box.replaceChildren(...(cue ? [shape(cue), el("span", {}, word(cueWord[cue]))] : []));
  box.classList.toggle("two", cue === "ok" || cue === "none");
  root.querySelector(".open")?.setAttribute("data-cue", cue);
}

// Why there is no weight, in the daemon's words, and what was in the cup last.
function reasonText(app) {
  const s = app.screen, w = app.weight;
  if (app.lost) return [word("page.lost")];
  if (s.lifted) return [word("page.lifted_reason")];
  if (app.fresh && w?.weight_g !== null) return [];
  const last = app.last ? word("page.last_in_cup", { in_cup_g: app.last.in_cup_g ?? 0, at: app.last.at }) : "";
  return [s.trouble ? said(s.trouble.said) : word("page.silent", { silent_s: Math.max(1, (performance.now() - app.seenAt) / 1000) }), last];
}

function liveOpen(app) {
  const { screen: s, weight: w, root } = app;
  const number = root.querySelector(".number");
  if (!s.now || !number) return;
  const dead = !app.fresh || s.lifted || w?.weight_g === null;
  const from = w ?? s.now;
  const toGo = from.to_go_g, byEye = toGo === null || toGo === undefined;
  const past = !byEye && toGo < 0;
  const dip = s.now.toner === null;
  const shown = byEye ? from.in_cup_g ?? 0 : Math.abs(toGo);
  if (!dead && w) app.last = { in_cup_g: w.in_cup_g, at: hourAndSecond(new Date(Date.now() - new Date().getTimezoneOffset() * 6e4).toISOString()) };
  const d_g = app.info.scales?.[app.station]?.d_g;
  let cue = dead ? "none" : w.cue ?? "";
  const t = performance.now();
  if (cue === "stop") app.stopUntil = t + STOP_MS;
  else if ((cue === "ease" || cue === "pour") && t < (app.stopUntil ?? 0)) cue = "stop";
  number.replaceChildren(figures(grams(shown), { dead, small: finer(d_g, s.now.tolerance_g ?? 0), stroke: cue === "stop" ? 17 : cue === "ease" ? 15 : 13 }));
  const unit = dead ? "" : dip ? "page.g_to_take_out" : byEye ? "page.g_in_cup" : past ? (cue === "over" ? "page.g_over" : "page.g_past") : "page.g_to_go";
  const words = unit ? word(unit).split(" ") : [];
  root.querySelector(".unit").replaceChildren(...(unit ? [el("span", {}, words[0]), el("span", {}, words.slice(1).join(" "))] : []));
  const aim = s.now.aim_g;
  root.querySelector(".amounts").replaceChildren(...(aim === null ? [] : [word("column.aim"), " ", el("b", {}, grams(Math.abs(aim)))]),
    "  ", word("column.in_cup"), " ", el("b", {}, dead ? "?" : grams(from.in_cup_g ?? 0)));
  setCue(root, cue);
  root.querySelector(".reason").replaceChildren(...reasonText(app).filter(Boolean).map((text, i) => el("p", { class: i === 0 ? "rubric" : "" }, text)));
  liveRuler(app, dead, toGo);
}

function liveRuler(app, dead, toGo) {
  const box = app.root.querySelector(".rule");
  const { now } = app.screen;
  if (!box || now.aim_g === null) return;
  const { clientWidth: wide, clientHeight: high } = box;
  const key = [now.aim_g, now.tolerance_g, wide, high, dead].join();
  if (key !== ruler.key && wide > 0) {
    ruler.set(now.aim_g, now.tolerance_g, wide, high, dead);
    ruler.key = key;
  }
  if (box.firstChild !== ruler.svg) box.replaceChildren(ruler.svg);
  const w = app.weight;
  const landing = dead || !w || w.landing_g === null || w.landing_g === undefined ? null : toGo - (w.landing_g - w.in_cup_g);
  ruler.move(toGo ?? null, landing);
}

// ---- states ----
function drawPour(app) {
  const s = app.screen;
  return { kind: s.lifted ? "lifted" : "", body: [...doneAbove(s), openLine(app), nextBelow(s)] };
}

function drawCup(app) {
  const s = app.screen;
  return { body: [
    el("section", { class: "open cup" }, el("div", { class: "hatch" }), el("span", { class: "margin" }, word("page.cup")),
      el("div", { class: "toner" }, el("b", { class: "bigcode" }, s.formula), el("span", { class: "bigname" }, s.name ?? "")),
      el("div", { class: "main" }, el("div", { class: "number" }), el("div", { class: "unit" }), el("span", { class: "gap" }), el("div", { class: "cue" })),
      el("div", { class: "reason" }), el("p", { class: "fill" }, fillText(s))),
    nextBelow(s)] };
}

function fillText(s) {
  const parts = [word("page.colour", { colour_g: s.fill.colour_g })];
  if (s.fill.spray_ml !== null) parts.push(s.fill.cup_ml !== null ? word("page.spray_in_cup", { spray_ml: s.fill.spray_ml, cup_ml: s.fill.cup_ml }) : word("page.spray", { spray_ml: s.fill.spray_ml }));
  return parts.join(", ");
}

function liveCup(app) {
  const { weight: w, root } = app, dead = !app.fresh || w?.weight_g === null;
  root.querySelector(".number")?.replaceChildren(figures(grams(w?.weight_g ?? NaN), { dead }));
  root.querySelector(".unit")?.replaceChildren(el("span", {}, dead ? "" : "g"));
  setCue(root, dead ? "none" : "");
  root.querySelector(".reason")?.replaceChildren(...(dead ? reasonText(app) : []).filter(Boolean).map((text) => el("p", { class: "rubric" }, text)));
}

// ---- over ----
const order = ["grow", "dip", "leave", "again", "rescue"];

// Lines that the daemon offers, open or shut; the number is the digit that chooses.
function remedyMoves(s) {
  return s.moves.filter((m) => m.act.method === "batch.remedy" && (m.open || !["again", "rescue"].includes(m.act.params.choice))).sort((a, b) => order.indexOf(a.act.params.choice) - order.indexOf(b.act.params.choice));
}

function remedyText(s, choice, r) {
  const adds = (r.add_g ?? []).map((g, i) => (g > 0 ? `${s.steps[i]?.toner ?? ""} ${grams(g)}` : "")).filter(Boolean).join(", ");
  if (choice === "grow") return adds ? word("page.grow_adds", { adds }) : "";
  if (choice === "dip") return adds ? word("page.dip_adds", { take_g: r.take_g, adds }) : word("page.dip", { take_g: r.take_g });
  if (choice === "again") return word("page.again_keeps");
  if (r.ratio) return word("page.leave_ratio", { ratio: r.ratio.map((x) => fixed(x, Number.isInteger(x) ? 0 : 2)).join(":") });
  const off = (r.deviation_pct ?? []).map((p, i) => (Math.abs(p ?? 0) >= 0.05 ? [s.steps[i]?.toner, p] : null)).filter(Boolean)[0];
  return off ? word("page.leave_off", { toner: off[0], off_pct: off[1] }) : "";
}

function remedyLine(app, move, i) {
  const s = app.screen, { choice } = move.act.params, r = s.remedies?.[choice] ?? {};
  const chosen = app.choice === choice;
  const money = r.cost === null || r.cost === undefined ? "" : `${fixed(r.cost, 2, true)} ${app.info.currency}`;
  const total = r.total_g ?? (choice === "leave" ? s.total_g : choice === "again" ? s.wanted_g : null);
  return el("button", { class: `remedy ${chosen ? "chosen" : ""}`, type: "button", "aria-pressed": chosen, "aria-disabled": !move.open,
    onclick: (e) => app.touched(e, () => choose(app, i)) },
    el("span", { class: "digit" }, String(i + 1)),
    el("b", { class: "what" }, word(`page.remedy_${choice}`)),
    move.open
      ? el("span", { class: "sums" }, total !== null && el("b", {}, `${grams(total)} g`), r.volume_ml !== null && r.volume_ml !== undefined && el("span", {}, `${fixed(r.volume_ml, 0)} mL`))
      : el("span", { class: "sums over" }, said(move.why)),
    el("span", { class: "waste" }, move.open && r.waste_g !== undefined ? `${grams(r.waste_g)} g` : ""),
    el("span", { class: "cost" }, money),
    el("span", { class: "text" }, remedyText(s, choice, r)));
}

function choose(app, i) {
  const move = remedyMoves(app.screen)[i];
  if (!move) return;
  if (!move.open) app.note = said(move.why);
  else app.choice = move.act.params.choice;
  app.answered = true; // the cone stops blinking
  app.draw();
}

function drawOver(app) {
  const s = app.screen, step = s.steps[s.step - 1] ?? {}, { now } = s;
  return { kind: app.answered ? "" : "unanswered", body: [
    el("section", { class: "open overline" }, el("span", { class: "margin" }, word("page.now")),
      el("div", { class: "toner" }, el("b", { class: "bigcode" }, now?.toner ?? step.toner ?? ""), el("span", { class: "bigname" }, now?.name ?? step.name ?? "",
        el("small", {}, `${word("column.aim")} ${grams(now?.aim_g)}, ${word("column.in_cup")} ${grams(now?.in_cup_g)}`)),
        el("span", { class: "gap" }), el("div", { class: "past rubric" }, shape("over"), figures(grams(Math.abs(now?.to_go_g ?? NaN))), el("span", {}, word("page.g_over"))))),
    el("section", { class: "remedies" },
      el("div", { class: "heads", "aria-hidden": "true" }, el("span", {}, word("column.becomes")), el("span", {}, word("column.waste")), el("span", {}, word("column.cost"))),
      ...remedyMoves(s).map((m, i) => remedyLine(app, m, i)))] };
}

// ---- done ----
function drawDone(app) {
  const s = app.screen;
  const off = s.steps.filter((step) => !["on_aim", null].includes(step.verdict)).map((step) => step.toner ?? step.name);
  const facts = s.facts.map((f) => el("li", {}, said(f)));
  return { body: [
    el("section", { class: "done-list" }, ...s.steps.map((step) => stepLine(s, step))),
    el("section", { class: "open batch" }, el("span", { class: "margin" }, word("page.batch", { batch: s.batch })),
      el("div", { class: "sum" },
        el("div", { class: "main" }, el("div", { class: "number" }, figures(grams(s.fill.spray_g ?? s.total_g))), el("div", { class: "unit" }, ...word("page.g_in_cup").split(/ (.*)/).filter(Boolean).map((t) => el("span", {}, t)))),
        el("p", { class: "verdict" }, shape(off.length ? "over" : "ok"), off.length ? word("page.not_on_aim", { toners: off.join(", ") }) : word("page.all_on_aim")),
        facts.length ? el("ul", { class: "facts" }, facts) : null,
        el("p", { class: "fill" }, fillText(s)),
        s.use_by && el("p", { class: "useby" }, word("page.use_by", { use_by: hour(s.use_by) }))),
      el("figure", { class: "label" }, el("img", { src: `/label/${encodeURIComponent(s.batch)}.svg?of=${s.revision}`, alt: word("page.label_of", { batch: s.batch }) }),
        el("figcaption", {}, word("page.copies", { copies: app.copies ?? 1 }))))] };
}

// ---- idle ----
function drawIdle(app) {
  const rows = app.today ?? [];
  return { body: [
    el("section", { class: "open idle" }, el("div", { class: "main" }, el("div", { class: "number small" }), el("div", { class: "unit" }, el("span", {}, "g")), el("span", { class: "gap" }), el("span", { class: "clock" }))),
    el("section", { class: "today" }, el("h2", {}, word("page.today")),
      ...(rows.length ? rows.map((b, i) => batchLine(app, b, i)) : [el("p", {}, word("page.nothing_today"))]))] };
}

function batchLine(app, b, i) {
  const who = [b.coat && word(`coat.${b.coat}`), b.variant !== "standard" && b.variant, b.order && word("page.order", { order: b.order }), b.painter, b.state === "held" && b.station].filter(Boolean).join(", ");
  const chosen = app.picked === b.batch;
  return el("button", { class: `pick ${chosen ? "chosen" : ""}`, type: "button", "aria-pressed": chosen, onclick: (e) => app.touched(e, () => pick(app, i)) },
    el("span", { class: "digit" }, String(i + 1)), el("b", {}, b.formula), el("span", {}, b.name ?? ""), el("span", { class: "who" }, who), el("span", { class: "gap" }),
    el("span", {}, word(`state.${b.state}`)), el("b", {}, `${grams(b.total_g)} g`), el("span", {}, hour(b.begun)));
}

function pick(app, i) {
  const b = app.today?.[i];
  if (!b) return;
  app.picked = app.picked === b.batch ? null : b.batch;
  app.draw();
}

function idleSill(app) {
  const s = app.screen, b = app.today?.find((x) => x.batch === app.picked);
  const find = { text: word("footline.find"), run: () => app.openFind?.(app) };
  if (!b) return { kind: "key", ...find };
  const resume = s.moves.find((m) => m.act.method === "batch.resume");
  if (b.state === "held" && resume?.open)
    return { kind: "key", text: word("footline.resume", { batch: b.batch, formula: b.formula, coat: b.coat ?? "" }), run: () => app.act(resume.act, { batch: b.batch }), second: find };
  return { kind: "key", text: word("page.batch", { batch: b.batch }), run: () => app.openRecord?.(app, b.batch), second: find };
}

// ---- the view ----
const draws = { idle: drawIdle, cup: drawCup, pour: drawPour, over: drawOver, done: drawDone };

function sill(app) {
  const s = app.screen;
  if (s.state === "idle") return idleSill(app);
  if (s.state === "over") {
    const move = remedyMoves(s).find((m) => m.act.params.choice === app.choice);
    return move ? { kind: "key", text: said(move.said), run: () => app.act(move.act) } : { kind: "hand", text: said(s.next.said) };
  }
  const { next } = s, second = next.second && { text: said(next.second.said), run: () => app.act(next.second.act) };
  const more = s.state === "done" && next.act?.params.label !== undefined ? { label: app.copies ?? 1 } : {};
  if (next.kind === "key" && next.act) return { kind: "key", text: said(next.said), run: () => app.act(next.act, more), second };
  return { kind: next.kind === "wait" ? "wait" : "hand", text: said(next.said), second };
}

export const bench = {
  name: "bench",
  key: ({ screen: s }) => `${s?.batch}/${s?.state}/${s?.step}/${s?.lifted}`,
  draw: (app) => ({ ...draws[app.screen.state](app), kind: `in-${app.screen.state} ${app.screen.state === "over" && !app.answered ? "unanswered" : ""}` }),
  live(app) {
    const { state } = app.screen;
    if (state === "pour") liveOpen(app);
    else if (state === "cup") liveCup(app);
    else if (state === "idle") {
      app.root.querySelector(".number")?.replaceChildren(figures(grams(app.weight?.weight_g ?? NaN), { dead: !app.fresh }));
      const clock = app.root.querySelector(".clock");
      if (clock) clock.textContent = new Date().toTimeString().slice(0, 5);
    }
  },
  sill,
  digit(app, n) {
    const { state } = app.screen;
    if (state === "over") choose(app, n - 1);
    else if (state === "idle") pick(app, n - 1);
  },
  step(app, by) {
    if (app.screen.state !== "done") return;
    app.copies = Math.min(9, Math.max(1, (app.copies ?? 1) + by));
    app.draw();
  },
};
