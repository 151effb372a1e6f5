// menu.js - the contents: other pages, then every act of this state as the daemon lists it, open or shut with its reason.
import { Ask, List } from "./list.js";
import { said, word, typed } from "./words.js";
import { openFind } from "./find.js";

const numbers = ["grams", "uncounted_g", "lost_g"];

// What an act asks for is written on a page of its own; toners are offered.
async function askFor(app, move) {
  const [ask] = move.asks;
  const toners = ask === "toner" || ask === "really" ? (await app.ask("toner.list", { limit: 500 }))?.toners ?? [] : [];
  const reasons = ask === "why" ? ["scrap_wrong_colour", "scrap_spilled", "scrap_dirt",
    "scrap_not_needed"].map((w) => ({ value: word(`page.${w}`) })) : [];
  const mode = numbers.includes(ask) ? "number" : "text";
  app.open(new Ask("ask", said(move.said), {
    ask, mode, label: word(`member.${ask === "really" ? "toner" : ask}`), says: (value) => `${said(move.said)}: ${value}`,
    choices: [...toners.map((t) => ({ value: t.id, text: t.name })), ...reasons],
    async run(a, value) {
      const screen = await a.act(move.act, { [ask === "toner" && move.act.method === "batch.accept" ? "really" : ask]: mode === "number"
        ? typed(value) : value });
      if (screen) a.home();
    },
  }));
}

function moveRow(app, move) {
  const ask = move.asks.length > 0;
  return { text: said(move.said), shut: move.open ? "" : said(move.why),
    run: () => (ask ? askFor(app, move) : app.act(move.act).then((s) => s && app.home())) };
}

function rows(app) {
  const { moves } = app.screen;
  const pages = [{ text: word("menu.bench"), run: () => app.home() }, { text: word("menu.find"), run: () => openFind(app) },
    ...(app.pages ?? []).map((p) => ({ text: p.text(), run: () => p.run(app) }))];
  return [...pages, ...moves.filter((m) => !["batch.begin", "batch.resume"].includes(m.act.method)).map((m) => moveRow(app, m))];
}

export const openMenu = (app) => app.open(new List("menu", word("page.menu"), rows));
