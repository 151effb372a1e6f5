// practice.js - practice: which mishap, the bench to practise at in place of our own, its simulated hand, and how it
// went. What the hand may do and what is told is the daemon's.
//
// The address names both benches (`?station=learn-1&home=bench`), so a page that is loaded anew goes on practising.
import { actOrAsk } from "./ask.js";
import { el } from "./draw.js";
import { call, Refused } from "./link.js";
import { Ask, List } from "./list.js";
import { said, sentence, word } from "./words.js";

const SCENARIOS = ["overpour", "lifted", "empty_tin", "wrong_tin"];
const WORDS = ["page.learn_overpour", "page.learn_lifted", "page.learn_empty_tin", "page.learn_wrong_tin"];
const DIGITS = ["cup", "pour", "done"]; // states whose digits choose nothing else

const query = new URLSearchParams(location.search);

// Our own bench while the page stands at one to practise at; null: it stands at its own.
export const home = () => query.get("home");

// Whether the address names a bench that the shop's file does not.
export const isPractice = (station) => Boolean(home()) && /^learn-\d+$/.test(station ?? "");

function go(station, more) {
  const to = new URLSearchParams(query);
  for (const name of ["home", "ended"]) to.delete(name);
  to.set("station", station);
  for (const [name, value] of Object.entries(more)) to.set(name, value);
  location.replace(`/?${to}`);
}

// However it ended. ended: by itself or by somebody else, which is then said there.
export const goHome = (ended) => go(home(), ended ? { ended: 1 } : {});

// Said once on our own bench; the address forgets it.
export function tellEnded(app) {
  if (!query.get("ended")) return;
  query.delete("ended");
  history.replaceState(null, "", `/?${query}`);
  app.note = word("page.practice_over");
  app.draw();
}

async function start(app, scenario, painter) {
  const begun = await app.ask("learn.start", { painter, scenario, station: app.station });
  if (begun) go(begun.station, { home: app.station });
}

// Who is signed in practises; of nobody the name is asked first.
const askName = (app, i) => app.open(new Ask("ask", word(WORDS[i]), {
  ask: "painter", label: word("page.who_practises"), says: (value) => `${word(WORDS[i])}: ${value}`,
  run: (a, painter) => start(a, SCENARIOS[i], painter) }));

export function openPractice(app) {
  const run = (i) => (app.screen.signed_in ? start(app, SCENARIOS[i], app.screen.signed_in) : askName(app, i));
  app.open(new List("practice", word("page.practice"), () => SCENARIOS.map((_, i) => ({ text: word(WORDS[i]),
    says: word("page.practise", { what: word(WORDS[i]) }), run: () => run(i) })), {
    secondOf: (a, row) => a.screen.signed_in && { text: word("page.other_name"), run: () => askName(a, WORDS.findIndex((w) => word(w) === row.text)) } }));
}

// ---- at its bench ----

const hand = (app) => app.screen.practice?.hand ?? [];

// A mishap is told where a refusal would stand: it is to be seen.
async function move(app, { act, asks, ...more }) {
  if (asks.length) {
    await actOrAsk(app, { act, asks, ...more });
    return;
  }
  const done = await app.act(act);
  if (done?.said) app.note = sentence(said(done.said));
  app.draw();
}

// A row of its own, dashed and above the footnotes: what the hand does is no move of the bench.
export function handRow(app) {
  if (!app.screen.practice || !DIGITS.includes(app.screen.state)) return null;
  return el("section", { class: "hand-row", role: "group", "aria-label": word("key.your_hand").replace(/[[\]]/g, "") },
    ...hand(app).map((m, i) => el("button", { type: "button", "aria-disabled": !m.open, onclick: () => move(app, m) },
      el("b", {}, `${i + 1} `), said(m.said))));
}

// Whether the digit was the hand's.
export function handDigit(app, n) {
  const m = DIGITS.includes(app.screen.state) && hand(app)[n - 1];
  if (m) move(app, m);
  return Boolean(m);
}

// That nothing is kept, in the head of every page; a phone has room for its first word.
export const mark = (app) => app.screen?.practice && el("b", { class: "mark" },
  el("span", { class: "whole" }, said(app.screen.practice.said)), el("span", { class: "brief" }, word("page.practice")));

const told = (title, list) => list.length > 0 && el("section", {}, el("h2", {}, word(title)), el("ul", {}, ...list.map((s) => el("li", {}, sentence(said(s))))));

// The bench is gone with its end, so nothing on this page may ask it any more.
async function end(app) {
  app.ending = true;
  const how = await app.act(app.screen.practice.end.act);
  app.ending = Boolean(how);
  if (!how) return;
  app.zero = app.back = app.home = () => goHome(false); // there is no bench below this page
  app.open({ name: "learnt", bare: true, draw: () => ({ kind: "listing", body: [el("h1", {}, word("page.practice")),
    told("page.learnt_well", how.well), told("page.learnt_next_time", how.next_time)] }),
    sill: () => ({ kind: "key", text: word("footline.go_back"), run: () => goHome(false) }) });
}

export const endMove = (app) => ({ text: said(app.screen.practice.end.said), run: () => end(app) });

// Ended by somebody else, left alone too long, or its daemon was started anew.
export function isOver(app) {
  if (home() && !app.ending && app.screen?.practice?.over) goHome(true);
}

export async function lookWhetherOver(app) {
  if (!home() || app.ending) return;
  await call("watch", { station: app.station }).catch((e) => { if (e instanceof Refused) goHome(true); });
}
