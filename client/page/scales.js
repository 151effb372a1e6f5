// scales.js - the shop's scales as they are now, a check weight, the watched pan, and finding out what a port speaks.
import { el } from "./draw.js";
import { Ask, List } from "./list.js";
import { fixed, grams, plain, said, typed, word } from "./words.js";

const LOOK_MS = 1000; // a scale that is looked at is asked for so often

// ---- the list: stations, then ports that no station uses ----
function scaleRow(app, view, s) {
  const weight = s.weight_g === null ? word(`page.scale_${s.state}`) : `${grams(s.weight_g)} g`;
  const reads = [word("scales.port", { profile: s.profile ?? "?", port: s.port, reads: `${plain(s.d_g)} g` }),
    s.capacity_g !== null && word("scales.capacity", { capacity: `${plain(s.capacity_g)} g` })].filter(Boolean).join("");
  return { text: `${s.station} ${word(`page.scale_${s.state}`)}`, detail: reads, figure: weight,
    says: `${word("page.check_weight")}: ${s.station}`, run: () => openScale(app, s) };
}

const portRow = (app, p) => ({ text: p.port, detail: p.description ?? p.why ?? word("state.unused"),
  says: word("page.seek", { port: p.port }), run: () => seek(app, p.port) });

export async function openScales(app) {
  const view = new List("scales", word("menu.scales"),
    (a) => [...(view.scales ?? []).map((s) => scaleRow(a, view, s)), ...(view.ports ?? []).map((p) => portRow(a, p))]);
  app.open(view);
  const answer = await app.ask("scale.list", { ports: true });
  Object.assign(view, { scales: answer?.scales ?? [], ports: answer?.ports ?? [] });
  app.draw();
}

function lastCheck(s) {
  const c = s.check;
  if (!c?.time) return word("scales.no_check");
  const off = `${fixed(c.error_g, 2, true)} g`;
  const what = word("scales.check", { weight: `${plain(c.grams)} g`, time: c.time.slice(0, 16).replace("T", " ") });
  return `${what} ${c.passed ? word("scales.check_good", { error: off }) : word("scales.check_off", { error: off })}`;
}

// What an open scale says of itself: its weight and how old it is, the bytes it came in, what it is, its last check.
function aboutScale(s) {
  const live = s.state === "live" && s.weight_g !== null;
  const args = { weight: live ? grams(s.weight_g) : "", age: s.age_ms, d_g: s.d_g, profile: s.profile, capacity: s.capacity_g };
  const shows = live ? word(s.capacity_g === null ? "page.scale" : "page.scale_to", args) : s.why ?? word(`page.scale_${s.state}`);
  return [shows, s.sent && word("page.scale_sent", { sent: s.sent }), s.port, lastCheck(s), ...(s.doubt ?? []).map((d) => said(d))].filter(Boolean)
    .map((text) => el("p", { class: "as-sent" }, text));
}

function openScale(app, first) {
  let s = first;
  const here = s.station === app.station;
  const shut = here ? "" : word("page.at_its_own_bench");
  const view = new List("scale", () => `${s.station}: ${word(`page.scale_${s.state}`)}`, () => [
    { text: word("page.check_weight"), shut, run: () => askWeight(app) },
    { text: word("page.watch_pan"), shut, run: () => watchPan(app) },
    { text: word("page.seek", { port: s.port }), run: () => seek(app, s.port) }], { above: () => aboutScale(s) });
  view.read = () => look(app, view, (rows) => { s = rows.find((r) => r.station === s.station) ?? s; });
  app.open(view);
}

// Reads the scales anew for as long as the view is the open one; a refusal ends it, so that it is not said each second.
async function look(app, view, take) {
  if (view.looking) return;
  view.looking = true;
  while (app.view === view) {
    const answer = await app.ask("scale.list", {});
    if (!answer) break;
    take(answer.scales);
    if (app.view === view) app.draw();
    await new Promise((done) => { setTimeout(done, LOOK_MS); });
  }
  view.looking = false;
}

// ---- a check weight: empty, loaded, empty again. What to do is the screen's own foot line ----
const askWeight = (app) => app.open(new Ask("ask", word("page.check_weight"), {
  ask: "grams", mode: "number", label: word("page.check_grams"), says: (value) => `${word("page.check_weight")}: ${value} g`,
  async run(a, value) {
    const begun = await a.ask("scale.check", { station: a.station, grams: typed(value), begin: true });
    if (begun) a.open(new Check());
  } }));

class Check {
  constructor() {
    Object.assign(this, { name: "check", typed: true, bare: false, result: null });
  }

  draw(app) {
    const s = app.screen;
    return { kind: "checking", body: [el("h1", {}, word("page.check_weight")),
      el("p", { class: "both" }, this.result ? resultText(this.result) : said(s.next?.said)),
      el("section", { class: "open idle" }, el("div", { class: "main" }, el("span", { class: "clock" })))] };
  }

  live(app) {
    const box = app.root.querySelector(".clock");
    if (box) box.textContent = app.fresh && app.weight.weight_g !== null ? `${grams(app.weight.weight_g)} g` : word("page.no_weight");
  }

  sill(app) {
    if (this.result) return { kind: "key", text: word("footline.go_back"), run: () => app.home() };
    return { kind: "key", text: said(app.screen.next?.said), run: () => this.take(app),
      second: { text: word("page.stop_check"), run: () => this.cancel(app) } };
  }

  async take(app) {
    const r = await app.ask("scale.check", { station: app.station });
    if (r?.next === "done") this.result = r;
    app.draw();
  }

  async cancel(app) {
    await app.ask("scale.check", { station: app.station, cancel: true });
    app.home();
  }
}

function resultText(r) {
  const off = `${fixed(r.error_g, 2, true)} g`;
  return `${plain(r.grams)} g: ${r.passed ? word("scales.check_good", { error: off }) : word("scales.check_off", { error: off })}`;
}

async function watchPan(app) {
  const view = new List("drift", word("page.watch_pan"), () => [], { empty: word("check.watching") });
  app.open(view);
  const r = await app.ask("scale.check", { station: app.station, drift: true, seconds: 20 });
  if (r) view.empty = r.drift === "drift" ? word("check.drift", { rate: fixed(r.d_per_min, 1, true) })
    : r.drift === "draught" ? word("check.draught", { span: fixed(r.span_d, 1) }) : word("check.steady");
  app.draw();
}

// ---- what does that port speak? ----

// One try: how it was asked or listened to, and what came of it.
function tryRow(t) {
  const how = [word("seek.round", { pass: t.pass }), t.speed && `${plain(t.speed)} baud`, t.frame].filter(Boolean).join(", ")
    + word(t.question ? "seek.asked" : "seek.listening", { question: t.question, time: `${fixed(t.ms / 1000, 1)} s` });
  return { text: how, detail: t.bytes ? `${word("seek.bytes", { count: t.bytes })} ${t.came}` : word("seek.nothing"), kind: "told" };
}

async function seek(app, port) {
  let tried = [], section = [];
  const view = new List("seek", word("page.seek", { port }),
    () => [...section.map((text) => ({ text, shut: word("page.into_the_file") })), ...tried.map(tryRow)],
    { empty: word("page.scale_seeking"), bare: true });
  app.open(view);
  const r = await app.ask("scale.seek", { port });
  view.empty = said(r?.said) || word("seek.nothing");
  tried = [...(r?.tried ?? [])].reverse(); // the last one found it, or was the last to fail
  section = (r?.section ?? "").split("\n").filter(Boolean);
  if (r && !r.found) view.above = () => [el("p", { class: "both" }, view.empty)];
  app.draw();
}
