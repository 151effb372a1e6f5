// menu.js - the contents: other pages, then every act of this state as the daemon lists it, open or shut with its reason.
import { actOrAsk } from "./ask.js";
import { List } from "./list.js";
import { said, word } from "./words.js";
import { openFind } from "./find.js";
import { endMove } from "./practice.js";

function moveRow(app, move) {
  return { text: said(move.said), shut: move.open ? "" : said(move.why),
    run: () => actOrAsk(app, move).then((s) => s && app.home()) };
}

// What is done on the shop's pages stays done, so a practice has no way to them but its own end.
function shopRows(app) {
  const { practice, state } = app.screen;
  if (practice) return [endMove(app)];
  return (app.pages ?? []).map((p) => ({ text: p.text(), shut: p.idle && state !== "idle" ? word("page.find_shut") : "", run: () => p.run(app) }));
}

function rows(app) {
  const { moves } = app.screen;
  const pages = [{ text: word("menu.bench"), run: () => app.home() }, { text: word("menu.find"), run: () => openFind(app) },
    ...shopRows(app)];
  return [...pages, ...moves.filter((m) => !["batch.begin", "batch.resume"].includes(m.act.method)).map((m) => moveRow(app, m))];
}

export const openMenu = (app) => app.open(new List("menu", word("page.menu"), rows));
