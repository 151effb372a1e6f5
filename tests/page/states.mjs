// states.mjs - a walk through every state of the page: each is looked at as a person would see it, in all sizes, papers
// and languages, and a picture is kept of each where PAGE_PICTURES names a folder.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { walkDay } from "./day.mjs";
import { small } from "./png.mjs";
import { World } from "./world.mjs";
import { accept, accessible, amountOf, begin, cupOn, fits, pourOn } from "./hands.mjs";

export const sizes = [{ width: 1280, height: 800 }, { width: 1920, height: 1080 }, { width: 768, height: 1024 },
  { width: 390, height: 844 }];
const folder = process.env.PAGE_PICTURES ?? "";
const many = process.env.PAGE_LOOKS === "all"; // pictures of all sixteen combinations, for looking at; else of two sizes
const kept = [sizes[0], sizes[3]];

// Each state in each of the given looks; the page goes on where it was.
export async function look(w, name, looks = w.looks) {
  for (const { size, night, language, wide } of looks) {
    await w.wear({ size, night, language, wide });
    const where = `${name} ${size.width}x${size.height} ${language}${night ? " night" : ""}${wide ? " wide" : ""}`;
    await fits(w, where);
    if (size === sizes[0] || looks.length === 1) await accessible(w, where);
    if (folder && !wide && (many || (kept.includes(size) && !night && language === "en"))) await keep(w, name, size, night, language);
  }
}

export async function keep(w, name, size, night, language) {
  if (!folder) return;
  mkdirSync(folder, { recursive: true });
  const more = many ? `-${language}${night ? "-night" : ""}` : "";
  writeFileSync(join(folder, `${name}-${size.width}x${size.height}${more}.png`), small(await w.page.screenshot()));
}

const all = sizes.flatMap((size) => [false, true].flatMap((night) => ["en", "de"].map((language) => ({ size, night, language }))));
// Each size, paper and language once, in four looks, two of them with a font that is a fifth wider.
const four = [{ size: sizes[0], night: false, language: "en" }, { size: sizes[1], night: true, language: "en" },
  { size: sizes[2], night: true, language: "de" },
  { size: sizes[3], night: false, language: "de" }, { size: sizes[0], night: false, language: "de", wide: true },
    { size: sizes[3], night: false, language: "de", wide: true }];
const picturing = [{ size: sizes[0], night: false, language: "en" }, { size: sizes[3], night: false, language: "en" }];

// Pours until so much is left to go; below 0: past the aim.
async function pourTo(w, left) {
  const { now } = await w.screen();
  w.hand(`pour ${(now.to_go_g - left).toFixed(2)} 150`);
  await w.until((to) => window.poise.weight.settled && Math.abs(window.poise.weight.to_go_g - to) < 0.03, left);
}

// The same weight again and again, so that a picture can be taken of what lasts a moment.
async function holdWeight(w, weight) {
  await w.page.evaluate((more) => {
    const app = window.poise, held = { ...app.weight, ...more };
    app.takeWeight = () => Object.getPrototypeOf(app).takeWeight.call(app, held);
    app.takeWeight();
  }, weight);
}
const letGo = (w) => w.page.evaluate(() => { delete window.poise.takeWeight; window.poise.stopUntil = 0; });

export async function walk(options) {
  const w = await World.begin(options);
  w.looks = options.looks ?? (many || process.env.PAGE_RUN === "all" ? all : folder ? [...four, ...picturing] : four);
  try {
    await look(w, "idle");
    await w.key("Enter");
    for (const c of "207") await w.key(c);
    await w.until(() => window.poise.view.open?.formula?.code === "TI-207");
    await look(w, "find");
    await w.key("Escape");
    await w.until(() => window.poise.views.length === 1);
    await begin(w, "207", "400", "mid");
    await look(w, "cup");
    await cupOn(w);
    await w.pour();
    await accept(w);
    await pourTo(w, 31.4);
    await look(w, "pour");
    const aim = (await w.screen()).now.aim_g;
    await holdWeight(w, { to_go_g: 3.3, in_cup_g: aim - 3.3, landing_g: aim - 1, cue: "ease", settled: false });
    await look(w, "ease");
    await holdWeight(w, { to_go_g: 0.8, in_cup_g: aim - 0.8, landing_g: aim - 0.01, cue: "stop", settled: false });
    await look(w, "stop");
    await letGo(w);
    await w.key("+");
    await w.shows(".formula");
    await w.page.evaluate(() => { window.poise.wholeUntil = Infinity; }); // many looks take longer than it stays open
    await look(w, "formula");
    await w.page.evaluate(() => { window.poise.wholeUntil = 0; window.poise.draw(); });
    w.hand("lift");
    await w.until(() => window.poise.screen.lifted);
    await look(w, "lifted");
    w.hand("put");
    await w.until(() => !window.poise.screen.lifted && window.poise.fresh);
    w.hand("mute");
    await w.shows(".figures.dead");
    await w.until(() => window.poise.screen.trouble);
    await look(w, "stale");
    w.hand("speak");
    await w.until(() => window.poise.fresh);
    await pourTo(w, 0);
    await w.until(() => window.poise.weight.cue === "ok");
    await look(w, "aim");
    await w.key("0");
    await w.shows(".view-menu");
    await look(w, "menu");
    await w.key("0");
    await w.pour(6.6);
    await accept(w);
    await w.shows(".in-over");
    await w.key("1");
    await look(w, "over");
    await w.key("2");
    await w.key("Enter");
    await w.until(() => window.poise.screen.now?.toner === null);
    w.hand("remove 12");
    await w.until(() => window.poise.weight.to_go_g > -13);
    await look(w, "dip");
    w.hand("remove 12.6");
    await w.shows(".sill.key");
    await accept(w);
    await w.until(() => window.poise.screen.now?.toner);
    await look(w, "again");
    await pourOn(w);
    await w.shows(".in-done");
    await w.until(() => document.querySelector(".label img")?.complete);
    await look(w, "done");
    await w.key("Enter");
    await w.shows(".in-idle");
    await w.shows(".today .pick");
    await w.key("1");
    await look(w, "today");
    await w.key(".");
    await w.until(() => window.poise.view.batch);
    await w.until(() => document.querySelector(".label img")?.complete);
    await look(w, "record");
    await w.key("0");
    await w.key("Enter");
    await w.until(() => window.poise.view.plan);
    await look(w, "amount");
    await w.page.evaluate(() => { window.poise.home(); window.poise.picked = null; });
    await amountOf(w, "CLEAR-40");
    await w.shows(".choice");
    await w.key("3");
    await w.until(() => window.poise.view.plan);
    await w.until(() => /g CLEAR-40,/.test(document.querySelector(".plan .both").textContent)); // a clear is no colour
    await look(w, "ratio");
    await w.page.fill("#field-have", "77 3");
    await w.until(() => window.poise.view.wrong === "have");
    await look(w, "refused");
    await w.page.evaluate(() => window.poise.home());
    await w.page.evaluate(() => { window.poise.stirredAt = -1e9; });
    await w.shows(".dim");
    await look(w, "dim");
    await w.key("Escape");
    await look(w, "menu-idle");
    for (const [n, name] of [[6, "scales"], [7, "settings"]]) {
      await w.key(String(n));
      await w.key("Enter");
      await w.shows(`.view-${name}`);
      await look(w, name);
      if (name === "scales") {
        await w.key("Enter");
        await w.shows(".as-sent");
        await look(w, "scale");
        await w.key("0");
      }
      await w.key("0");
    }
    await walkDay(w, look);
    return w.faults;
  } finally {
    await w.end();
  }
}
