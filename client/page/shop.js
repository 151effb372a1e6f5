// shop.js - every bench at once, a line each, for the foreman's wall. Read only.
import { becomeAll, el } from "./draw.js";
import { listen, call } from "./link.js";
import { codeOf } from "./steps.js";
import { decimalsOf, fixed, said, sentence, word } from "./words.js";

const LIVE_MS = 1500; // one that sends once a second is not called silent between two readings
const DRAW_MS = 500;
const LIFE_SHORT_S = 900; // from here on the pot life stands in rubric
const ONE_COLUMN = 12, COLUMNS = 3; // benches below each other in letters of a readable size; more than fit are scrolled to

export async function startShop(info) {
  const benches = new Map(info.stations.map((name) => [name, { name, d_g: info.scales?.[name]?.d_g, screen: null, weight: null, seen: -Infinity }]));
  const root = el("div", { class: "page shop" });
  let lost = false;
  document.body.replaceChildren(root);
  document.title = `${info.shop || "Poise"}`;
  const columns = Math.min(COLUMNS, Math.ceil(benches.size / ONE_COLUMN)), rows = Math.ceil(benches.size / columns);
  root.style.setProperty("--columns", columns);
  root.style.setProperty("--rows", rows);
  const draw = () => becomeAll(root, [
    el("header", {}, el("b", {}, info.shop || "Poise"), lost && el("b", { class: "over" }, word("page.scale_lost")),
      el("span", { class: "gap" }), el("span", {}, new Date().toTimeString().slice(0, 5))),
    el("main", {}, el("section", { class: "wall" }, ...[...benches.values()].map((b) => bench(b, lost))))]);
  listen(null, {
    screen(s) { const b = benches.get(s.station); if (b) { Object.assign(b, { screen: s, at: performance.now() }); draw(); } },
    weight(w) { const b = benches.get(w.station); if (b) Object.assign(b, { weight: w, seen: performance.now() - (w.age_ms ?? 0) }); },
    lost() { lost = true; draw(); },
    back() { lost = false; draw(); },
  });
  for (const b of benches.values()) b.screen ??= await call("watch", { station: b.name }).catch(() => null);
  setInterval(draw, DRAW_MS);
  draw();
}

// How the scale is, as its bench says it: a frame without a weight is no silence.
function scaleWord(b, live, lost) {
  if (lost) return "page.scale_lost";
  if (live) return b.weight.weight_g === null ? "page.scale_limit" : "page.scale_live";
  const state = b.weight?.state ?? b.screen?.scale?.state ?? "absent";
  return `page.scale_${state === "live" ? "stale" : state}`;
}

// What is to go or too much, only while it is seen; "" else.
function figure(b, live) {
  const s = b.screen, toGo = s?.state === "over" ? s.now?.to_go_g : live && !s?.lifted ? b.weight.to_go_g : null;
  if (toGo === null || toGo === undefined) return "";
  const unit = toGo >= 0 ? "page.g_to_go" : s.state === "over" ? "page.g_over" : s.now?.aim_g < 0 ? "page.g_to_take_out" : "page.g_past";
  return [el("b", {}, fixed(Math.abs(toGo), decimalsOf(b.d_g))), ` ${word(unit)}`];
}

function life(b) {
  if (!b.screen?.pot_life) return null;
  const left = b.screen.pot_life.left_s - (performance.now() - (b.at ?? performance.now())) / 1000;
  return el("span", { class: left > LIFE_SHORT_S ? "" : "over" },
    left > 0 ? word("page.pot_life", { left_min: Math.floor(left / 60) }) : word("page.pot_life_over"));
}

// Two rows: where, what, what is to go; below who, what comes next or is wrong, and the scale.
function bench(b, lost) {
  const s = b.screen, live = !lost && performance.now() - b.seen < LIVE_MS && b.weight?.state === "live";
  const what = s?.batch ? [s.formula, s.name, s.coat && word(`coat.${s.coat}`), s.premix && word("page.premix")].filter(Boolean).join(" ")
    : word("page.idle");
  const trouble = s?.batch && s.trouble ? said(s.trouble.said) : "";
  const next = s?.batch ? trouble || said(s.next?.said) : "";
  const scale = scaleWord(b, live, lost);
  return el("div", { class: `post ${s?.batch ? "" : "free"} ${s?.state === "over" ? "past-aim" : ""}` },
    el("b", { class: "where" }, b.name), el("b", { class: "job" }, what),
    el("b", { class: "tin" }, s?.now ? codeOf(s.now) : ""), el("span", { class: "left" }, figure(b, live)),
    el("span", { class: "who" }, s?.painter ?? ""),
    el("span", { class: trouble ? "turn over" : "turn" }, sentence(next)),
    el("span", { class: "state" }, life(b), " ", el("span", { class: scale === "page.scale_live" ? "who" : "over" }, word(scale))));
}
