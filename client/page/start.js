// start.js - the page comes up: words, station, link, keys. What stands in the way is shown on the page itself.
import { App } from "./app.js";
import { backToForm } from "./amount.js";
import { bench } from "./bench.js";
import { call, enter, hasToken, listen, readToken } from "./link.js";
import { openFind } from "./find.js";
import { tellInstead } from "./instead.js";
import { bindKeys } from "./keys.js";
import { bindKiosk } from "./kiosk.js";
import { bindTouch } from "./touch.js";
import { beginCoat, openJob, openOrder, readHere, readWaiting } from "./job.js";
import { openMenu } from "./menu.js";
import { bindPad } from "./pad.js";
import { openPeople } from "./people.js";
import { openRecord } from "./record.js";
import { openScales } from "./scales.js";
import { openCup, openShelf } from "./shelf.js";
import { goHome, home, isOver, isPractice, lookWhetherOver, openPractice, tellEnded } from "./practice.js";
import { openSettings, settings, wearPaper } from "./settings.js";
import { startShop } from "./shop.js";
import { Sound } from "./sound.js";
import { el } from "./draw.js";
import { language, loadWords, setStyle, word } from "./words.js";

const LIVE_MS = 100; // how often it is looked whether what is shown has grown old
const TODAY = 9; // batches of today: as many as there are digits

const query = new URLSearchParams(location.search);

function alone(...children) {
  document.body.replaceChildren(el("div", { class: "alone" }, ...children));
}

// With a token file somebody types a token once; the cookie then stays.
async function askToken() {
  for (;;) {
    const typed = await new Promise((done) => {
      const field = el("input", { id: "token", type: "password", autocomplete: "off", "aria-label": word("page.token") });
      alone(el("form", { onsubmit: (e) => { e.preventDefault(); done(field.value.trim()); } },
        el("label", { for: "token" }, word("page.token")), field, el("button", {}, "Enter")));
      field.focus();
    });
    if (await enter(typed)) return;
  }
}

// Which bench this screen stands at: named in the address, else the only one, else chosen once.
async function chooseStation(names) {
  const named = query.get("station");
  if (names.includes(named) || isPractice(named)) return named;
  if (names.length === 1) return names[0];
  return new Promise((done) => alone(el("h1", {}, word("page.which_bench")),
    ...names.map((name) => el("button", { onclick: () => { history.replaceState(null, "", `?station=${name}`); done(name); } }, name))));
}

// What stands on this screen while poised does not answer (sw.js). A browser has it on its own machine and over TLS
// alone; elsewhere the browser's own page must do.
function keepAway() {
  localStorage.setItem("poise-language", language);
  navigator.serviceWorker?.register("/sw.js").catch(() => {});
}

async function start() {
  await loadWords(query.get("language") ?? document.documentElement.lang);
  if (!hasToken()) await readToken();
  if (!hasToken()) await askToken();
  const info = await call("daemon.info");
  setInterval(wearPaper, 60000);
  wearPaper();
  if (location.pathname === "/shop") {
    setStyle(info.decimal, null);
    await startShop(info);
    return;
  }
  const station = await chooseStation(info.stations);
  const at = home() ?? station; // a practice speaks and writes as the bench that it was begun at
  const own = query.get("language") ?? info.languages?.[at];
  if (own) await loadWords(own);
  keepAway();
  setStyle(info.decimal, info.scales?.[at]?.d_g ?? null);
  const root = el("div", { class: "page" }), voice = el("p", { class: "voice", "aria-live": "polite" });
  document.body.replaceChildren(root, voice);
  document.title = `Poise ${station}`;
  const app = new App(root, station, info);
  const pages = [{ text: () => word("page.job"), run: openJob }, { text: () => word("page.shelf"), run: openShelf },
    { text: () => word("page.people"), run: openPeople }, { text: () => word("menu.scales"), run: openScales },
    { text: () => word("page.settings"), run: openSettings }, { text: () => word("page.practice"), run: openPractice, idle: true }];
  Object.assign(app, { voice, openFind, openMenu, openRecord, openOrder, openPeople, openCup, pages, views: [bench] });
  app.sound = new Sound(settings, (text) => app.speak(text));
  app.heard.push((...told) => app.sound.hear(...told));
  app.beginCoat = (order, coat) => beginCoat(app, order, coat);
  bindTouch();
  bindKeys(app);
  bindPad(app);
  app.settingsChanged = () => readSettings(app);
  const screen = await call("watch", { station }).catch((e) => { if (home()) goHome(true); throw e; });
  app.takeScreen(screen);
  follow(app);
  tellEnded(app);
  window.poise = app; // for whoever looks for a fault
}

// The shop's words, decimal sign and name, read anew after somebody changed one of them at whatever screen. A language
// in the address is this screen's own and stays; a shop that says none speaks English.
async function readSettings(app) {
  const info = await call("daemon.info").catch(() => null);
  if (!info) return;
  app.info = info;
  const at = home() ?? app.station;
  const wanted = query.get("language") ?? info.languages?.[at] ?? "en";
  if (wanted !== language) await loadWords(wanted).catch(() => {});
  setStyle(info.decimal, info.scales?.[at]?.d_g ?? null);
  keepAway();
  app.draw();
}

// What waits to be mixed and today's batches, for the idle page.
async function readToday(app) {
  if (home()) return; // they are the shop's
  await readWaiting(app);
  const from = new Date().toLocaleDateString("sv-SE"); // YYYY-MM-DD in the screen's own zone
  app.today = (await call("batch.find", { from, limit: TODAY }).catch(() => ({ batches: app.today ?? [] }))).batches;
  if (app.screen.state === "idle") app.draw();
}

function follow(app) {
  app.becameIdle = (before) => {
    readToday(app);
    backToForm(app, before);
  };
  app.ranEmpty = () => tellInstead(app);
  app.becameDone = () => readHere(app);
  listen(app.station, {
    screen: (s) => { app.takeScreen(s); isOver(app); },
    weight: (w) => app.takeWeight(w),
    lost() { app.lost = true; app.draw(); lookWhetherOver(app); },
    back() { app.lost = false; app.draw(); if (app.screen.state === "idle") readToday(app); },
  });
  setInterval(() => app.drawLive(), LIVE_MS);
  addEventListener("resize", () => app.drawLive());
  readToday(app);
  if (app.screen.state === "done") readHere(app);
}

bindKiosk();
start().catch(async (e) => {
  alone(el("p", {}, `${word("page.lost")}`), el("small", {}, String(e)));
  setTimeout(() => location.reload(), 2000);
});
