// scales.js - the shop's scales as they are now, a check weight, the watched pan, and finding out what a port speaks.
import { el } from "./draw.js";
import { Ask, List } from "./list.js";
import { fixed, grams, plain, said, typed, word } from "./words.js";

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

function openScale(app, s) {
  const here = s.station === app.station;
  const shut = here ? "" : word("page.at_its_own_bench");
  app.open(new List("scale", `${s.station}: ${word(`page.scale_${s.state}`)}`, () => [
    { text: word("page.check_weight"), detail: lastCheck(s), shut, run: () => askWeight(app) },
    { text: word("page.watch_pan"), shut, run: () => watchPan(app) },
    { text: word("page.seek", { port: s.port }), run: () => seek(app, s.port) }]));
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
async function seek(app, port) {
  const view = new List("seek", word("page.seek", { port }),
    () => (view.found ? view.found.split("\n").filter(Boolean).map((text) => ({ text, shut: word("page.into_the_file") })) : []),
    { empty: word("page.scale_seeking") });
  app.open(view);
  const r = await app.ask("scale.seek", { port });
  view.empty = r?.why ?? word("seek.nothing");
  if (r?.found) view.found = r.section;
  app.draw();
}
