// settings.js - what belongs to this screen alone stays in the browser: paper and sound. What belongs to the bench or
// the shop is the daemon's, where it lists it.
import { Ask, List } from "./list.js";
import { said, typed, word } from "./words.js";

const KEY = "poise";
const papers = ["clock", "light", "night"];
const DAWN = 7, DUSK = 19; // hours, by the clock

export const settings = { paper: "clock", volume: 5, spoken: false, ...JSON.parse(localStorage.getItem(KEY) ?? "{}") };

export function wearPaper() {
  const hour = new Date().getHours();
  const night = settings.paper === "night" || (settings.paper === "clock" && (hour < DAWN || hour >= DUSK));
  if (night) document.documentElement.dataset.paper = "night";
  else delete document.documentElement.dataset.paper;
}

function keep(app) {
  localStorage.setItem(KEY, JSON.stringify(settings));
  wearPaper();
  app.draw();
}

// As the key takes it: what is no number goes as text, and the daemon says what is wrong with it.
function valueOf(s, text) {
  const number = typeof s.value === "number" ? typed(text) : NaN;
  return Number.isFinite(number) ? number : text;
}

// What is chosen of a few is put back as its own value, not as the word that it is shown by.
function shopRow(app, view, s) {
  const figure = said(s.shown), title = said(s.said) || s.key;
  const choices = (s.offers ?? []).map((o) => ({ value: said(o.said), of: o.value })), mode = typeof s.value === "number" ? "number" : "text";
  const taken = (text) => choices.find((c) => c.value === text)?.of ?? valueOf(s, text);
  const ask = () => app.open(new Ask("ask", title, { ask: "value", label: figure, choices, mode,
    says: (v) => `${title}: ${v}`,
    async run(a, v) { if (await a.ask("settings.put", { key: s.key, value: taken(v) })) { a.back(); load(a, view); } } }));
  return { text: title, figure, shut: s.fixed ?? "", run: ask };
}

async function load(app, view) {
  if (!app.info.methods.includes("settings.list")) return;
  view.shop = (await app.ask("settings.list", {}))?.settings ?? [];
  app.draw();
}

export function openSettings(app) {
  const view = new List("settings", word("page.settings"), (a) => [
    { text: word("page.paper"), figure: word(`page.paper_${settings.paper}`), says: word("page.change"),
      run: () => { settings.paper = papers[(papers.indexOf(settings.paper) + 1) % 3]; keep(a); } },
    { text: word("page.sound"), figure: settings.volume ? String(settings.volume) : word("page.silent_sound"), says: word("page.change"),
      run: () => { settings.volume = (settings.volume + 1) % 10; keep(a); a.sound?.play("ok"); } },
    { text: word("page.spoken"), figure: settings.spoken ? word("page.on") : word("page.off"), says: word("page.change"),
      run: () => { settings.spoken = !settings.spoken; keep(a); } },
    ...(view.shop ?? []).map((s) => shopRow(a, view, s))]);
  app.open(view);
  load(app, view);
}
