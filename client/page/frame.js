// frame.js - what every page has around its middle: the running head, the footnotes and the foot line.
import { el } from "./draw.js";
import { mark } from "./practice.js";
import { grams, said, sentence, word } from "./words.js";

const cueWords = { pour: "cue.pour", ease: "cue.ease", stop: "cue.stop", ok: "page.on_aim", over: "page.cue_over" };
const LIFE_SHORT_S = 900; // from here on the pot life stands in rubric

// Colour, coat, variant, order, painter; at the right what the scale is doing.
export function head(app) {
  const s = app.screen;
  const left = s?.batch
    ? [el("b", { class: "code" }, s.formula ?? ""), el("b", { class: "name minor" }, s.name ?? ""),
      s.premix && el("b", {}, word("page.premix")), // not the colour that it is named after
      s.coat && el("span", { class: "coat" }, word(`coat.${s.coat}`)),
       s.variant && el("span", { class: "minor" }, s.variant), s.order && el("span", {}, word("page.order", { order: s.order })),
       s.painter && el("span", { class: "minor" }, s.painter)]
    : [el("b", { class: "name" }, app.info.shop || "Poise")];
  if (s?.signed_in && s.signed_in !== s.painter) left.push(el("span", { class: "signed" }, s.signed_in));
  const pour = app.views.length > 1 && s?.now ? el("span", { class: "pouring" }, pourInHead(app)) : null;
  const life = s?.pot_life && el("span", { class: `life ${s.pot_life.left_s > LIFE_SHORT_S ? "" : "over"}` }, potLife(app));
  const silent = app.sound?.settings.volume === 0 && el("span", { class: "silent" }, word("page.silent_sound"));
  return el("header", { class: pour ? "busy" : "" }, ...left, el("span", { class: "gap" }), pour, life, silent,
    el("span", { class: "bench" }, mark(app) || el("span", { class: app.fresh ? "" : "minor" }, app.station), " ", el("b", { class: app.fresh ? "" : "over" }, word(scaleWord(app)))));
}

function scaleWord(app) {
  if (app.lost) return "page.scale_lost";
  if (app.limited) return "page.scale_limit";
  if (app.fresh) return "page.scale_live";
  return app.weight?.state === "live" ? "page.scale_stale" : `page.scale_${app.weight?.state ?? app.screen?.scale?.state ?? "absent"}`;
}

// Cue, toner and to go stand in the head of every other page: who pours may look something up.
function pourInHead(app) {
  const { now } = app.screen, w = app.fresh ? app.weight : null;
  const toGo = w?.to_go_g ?? null;
  const figure = toGo === null ? "" : `${grams(Math.abs(toGo))} ${word(toGo < 0 ? "page.g_past" : "page.g_to_go")}`;
  return [w?.cue && word(cueWords[w.cue]), now.toner ?? (now.batch ? `${word("page.shelf_cup")} ${now.batch}` : now.name), figure].filter(Boolean).join(" ");
}

// Counted down from what the daemon said last.
function potLife(app) {
  const left = app.screen.pot_life.left_s - (performance.now() - (app.screenAt ?? performance.now())) / 1000;
  return left > 0 ? word("page.pot_life", { left_min: Math.floor(left / 60) }) : word("page.pot_life_over");
}

const CAUTIONS = 2; // more would push the pour off a small page; the gravest come first

// What the station says, the refusal of the last key, and cautions: gravest first. What the open line says already is
// not said twice.
export function foot(app) {
  const s = app.screen, bare = app.view.bare;
  const cautions = bare ? [] : (s?.cautions ?? []).slice(0, CAUTIONS);
  const inLine = app.view === app.views[0] && ["cup", "pour"].includes(s?.state) && (app.silent || app.limited);
  const trouble = s?.trouble && !inLine ? `${sentence(said(s.trouble.said))} ${sentence(said(s.trouble.mend))}` : "";
  return el("div", { class: "foot" },
    ...cautions.map((c) => el("p", { class: "caution" }, said(c))),
    trouble && el("p", { class: "caution" }, trouble),
    app.note ? el("p", { class: "caution", role: "alert" }, app.note)
      : !bare && s?.said && !(app.view === app.views[0] && s.said.code === "over") && el("p", { role: "status" }, said(s.said)));
}

export function sillLine(app) {
  const { kind, text, second } = app.sill;
  const key = kind === "key" ? "Enter" : word(kind === "hand" ? "key.hand" : "key.wait").replace(/[[\]]/g, "");
  return el("footer", { class: `sill ${kind}${app.waiting ? " waits" : ""}` },
    el("button", { class: "commit", type: "button", "aria-disabled": kind !== "key", onclick: () => app.commit() },
      el("span", { class: "keycap" }, key), el("span", { class: "says" }, text)),
    second && el("button", { class: "second", type: "button", onclick: () => app.second() }, `. ${second.text}`),
    el("button", { class: "menu", type: "button", onclick: () => app.zero() }, app.views.length > 1 ? word("key.back") : word("key.menu")));
}
