// shop.js - every bench at once, a line each, for the foreman's wall. Read only.
import { el } from "./draw.js";
import { listen, call } from "./link.js";
import { grams, word } from "./words.js";

export async function startShop(info) {
  const benches = new Map(info.stations.map((name) => [name, { screen: null, weight: null, seen: 0 }]));
  const root = el("div", { class: "page shop" });
  document.body.replaceChildren(root);
  document.title = `${info.shop || "Poise"}`;
  for (const [name, b] of benches) b.screen = await call("watch", { station: name }).catch(() => null);
  const draw = () => root.replaceChildren(
    el("header", {}, el("b", {}, info.shop || "Poise"), el("span", { class: "gap" }), new Date().toTimeString().slice(0, 5)),
    el("main", {}, el("section", { class: "today" }, ...[...benches].map(([name, b]) => bench(name, b)))));
  listen(null, {
    screen(s) { const b = benches.get(s.station); if (b) { b.screen = s; b.at = performance.now(); draw(); } },
    weight(w) { const b = benches.get(w.station); if (b) { b.weight = w; b.seen = performance.now(); } },
    lost: draw, back: draw,
  });
  setInterval(draw, 500);
  draw();
}

function bench(name, b) {
  const s = b.screen, live = performance.now() - b.seen < 1500 && b.weight?.state === "live";
  const scale = word(`page.scale_${live ? "live" : s?.scale?.state === "live" ? "stale" : (s?.scale?.state ?? "absent")}`);
  const life = s?.pot_life ? Math.floor((s.pot_life.left_s - (performance.now() - (b.at ?? performance.now())) / 1000) / 60) : null;
  const toGo = live && b.weight?.to_go_g !== null && b.weight?.to_go_g !== undefined
    ? `${grams(Math.abs(b.weight.to_go_g))} ${word(b.weight.to_go_g < 0 ? "page.g_past" : "page.g_to_go")}` : "";
  return el("div", { class: "pick" }, el("b", {}, name), el("span", {}, s?.painter ?? ""),
    el("span", {}, s?.batch ? `${s.formula} ${s.name ?? ""} ${s.coat ? word(`coat.${s.coat}`) : ""}` : word("page.idle")),
      el("span", { class: "gap" }),
    el("b", {}, s?.now?.toner ?? s?.now?.batch ?? ""), el("span", {}, s?.state === "over" ? word("page.over") : toGo),
    life !== null && el("span", { class: life > 15 ? "" : "over" },
      life > 0 ? word("page.pot_life", { left_min: life }) : word("page.pot_life_over")),
    el("span", { class: live ? "who" : "over" }, scale));
}
