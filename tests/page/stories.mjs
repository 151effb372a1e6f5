// stories.mjs - what a painter does at the page, told to a real browser. Each story has a shop of its own.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import assert from "node:assert/strict";
import { World } from "./world.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// WCAG 2.2 AA, as far as a program can tell; the reason of each finding is printed.
async function accessible(w, where) {
  await w.page.evaluate(axe);
  const { violations } = await w.page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"] }));
  assert.deepEqual(violations.map((v) => `${v.id}: ${v.nodes[0].html}`), [], where);
}

// Nothing of the page stands beyond its edge, and the foot line is on it.
async function fits(w, where) {
  const out = await w.page.evaluate(() => {
    const sill = document.querySelector(".sill")?.getBoundingClientRect();
    return { wide: document.documentElement.scrollWidth - innerWidth, sill: sill ? Math.round(sill.bottom - innerHeight) : null };
  });
  assert.ok(out.wide <= 0 && out.sill !== null && out.sill <= 0, `${where}: ${JSON.stringify(out)}`);
}

async function look(w, where) {
  await accessible(w, where);
  await fits(w, where);
}

// From idle to the cup by keys: find, code, coat, amount.
async function beginByKeys(w, code, grams) {
  let keys = 0;
  const key = async (k) => { keys++; await w.key(k); };
  await key("Enter");
  for (const c of code) await key(c);
  await w.until((c) => window.poise.view.open?.formula?.code.endsWith(c), code);
  while ((await w.page.evaluate(() => window.poise.view.name)) === "find") await key("Enter");
  await w.shows("#field-grams");
  for (const c of grams) await key(c);
  await w.shows(".view-amount .sill.key");
  await key("Enter");
  await w.shows(".in-cup");
  return keys;
}

async function cupOn(w) {
  w.hand("cup 31.2");
  await w.shows(".in-cup .sill.key");
  await w.key("Enter");
  await w.shows(".in-pour");
}

const stories = {
  async "a batch by keys alone, with an overpour that is kept"(options) {
    const w = await World.begin(options);
    try {
      await look(w, "idle");
      const keys = await beginByKeys(w, "118", "100");
      assert.ok(keys <= 10, `${keys} keys from idle to the cup`);
      await look(w, "cup");
      await cupOn(w);
      await look(w, "pour");
      await w.pour();
      await w.key("Enter");
      await w.until(() => window.poise.screen.step === 2);
      await w.pour(9);
      await w.key("Enter");
      await w.shows(".in-over");
      await look(w, "over");
      await w.key("1");
      await w.shows(".remedy.chosen");
      await w.key("Enter");
      await w.shows(".in-pour");
      for (let screen = await w.screen(); screen.state === "pour"; screen = await w.screen()) {
        await w.pour();
        await w.key("Enter");
        await w.until((r) => window.poise.screen.revision > r, screen.revision);
      }
      await w.shows(".in-done");
      await look(w, "done");
      await w.key("Enter");
      await w.shows(".in-idle");
      const record = await w.call("batch.get", { batch: "1" });
      assert.equal(record.state, "finished");
      assert.ok(record.total_g > 110);
      assert.deepEqual(w.faults, []);
    } finally {
      await w.end();
    }
  },

  async "touch alone, and a double tap skips nothing"(options) {
    const w = await World.begin({ ...options, touch: true });
    try {
      await w.tap(".commit");
      await w.shows("#field-text");
      await w.page.fill("#field-text", "118");
      await w.until(() => window.poise.view.open?.formula?.code === "TI-118");
      while ((await w.page.evaluate(() => window.poise.view.name)) === "find") await w.tap(".commit");
      await w.page.fill("#field-grams", "100");
      await w.shows(".view-amount .sill.key");
      await w.tap(".commit");
      await w.shows(".in-cup");
      w.hand("cup 31.2");
      await w.shows(".in-cup .sill.key");
      await w.tap(".commit");
      await w.shows(".in-pour");
      await w.pour();
      const before = (await w.screen()).revision;
      await w.until(() => performance.now() - window.poise.stoodSince > 400);
      await w.page.evaluate(() => { window.poise.commit(); window.poise.commit(); });
      await w.until((r) => window.poise.screen.revision > r, before);
      assert.equal((await w.screen()).revision, before + 1);
      await w.tap(".menu");
      await w.shows(".view-menu");
      await look(w, "menu");
    } finally {
      await w.end();
    }
  },

  async "a silent scale is not shown as live, and comes back"(options) {
    const w = await World.begin(options);
    try {
      await beginByKeys(w, "118", "100");
      await cupOn(w);
      w.hand("mute");
      await w.shows(".figures.dead");
      await w.shows('.cue[data-cue="none"]');
      await look(w, "stale");
      w.hand("speak");
      await w.until(() => !document.querySelector(".figures.dead"));
    } finally {
      await w.end();
    }
  },

  async "the daemon killed in mid-pour and back: nothing is lost, the page goes on"(options) {
    const w = await World.begin(options);
    try {
      await beginByKeys(w, "118", "100");
      await cupOn(w);
      await w.pour();
      await w.key("Enter");
      await w.until(() => window.poise.screen.step === 2);
      const before = await w.screen();
      await w.kill();
      await w.until(() => window.poise.lost);
      await look(w, "lost");
      await w.start();
      await w.until(() => !window.poise.lost && window.poise.fresh);
      const after = await w.screen();
      assert.deepEqual(after.steps.map((s) => s.poured_g), before.steps.map((s) => s.poured_g));
      await w.pour();
      await w.key("Enter");
      await w.until(() => window.poise.screen.step === 3);
    } finally {
      await w.end();
    }
  },

  async "two pages at one bench agree"(options) {
    const w = await World.begin(options);
    try {
      const other = await w.context.newPage();
      await other.goto(w.url);
      await beginByKeys(w, "118", "100");
      await other.waitForSelector(".in-cup");
      await cupOn(w);
      await other.waitForSelector(".in-pour");
      w.hand("pour 5 50");
      await other.waitForFunction(() => Math.abs((window.poise.weight?.in_cup_g ?? 0) - 5) < 0.02);
      assert.equal(await other.evaluate(() => document.querySelector(".number svg").getAttribute("aria-label")), await w.page.evaluate(() => document.querySelector(".number svg").getAttribute("aria-label")));
    } finally {
      await w.end();
    }
  },

  async "a setting is changed at the page, one of the file is shut"(options) {
    const w = await World.begin(options);
    const value = async (key) => (await w.call("settings.list")).settings.find((s) => s.key === key).value;
    const choose = (key) => w.page.evaluate((k) => { const { view } = window.poise; view.choose(window.poise, view.rows(window.poise).length - view.shop.length + view.shop.findIndex((s) => s.key === k)); }, key);
    try {
      await w.page.evaluate(() => window.poise.pages.at(-1).run(window.poise));
      await w.until(() => window.poise.view.shop?.length > 0);
      await look(w, "settings");
      await choose("station.bench.tolerance_g");
      assert.match(await w.page.textContent(".pick.chosen"), /poised\.ini:\d+/);
      await choose("station.bench.error_pct");
      await w.key("Enter");
      await w.shows("#field-value");
      for (const c of "7.5") await w.key(c);
      await look(w, "a setting");
      await w.key("Enter");
      await w.until(() => window.poise.view.shop?.find((s) => s.key === "station.bench.error_pct").value === 7.5);
      await choose("shop.decimal");
      await w.key("Enter");
      await w.tap(".pick:nth-of-type(2)");
      await w.key("Enter");
      await w.until(() => window.poise.view.shop?.find((s) => s.key === "shop.decimal").value === "comma");
      await w.kill();
      await w.start();
      assert.equal(await value("station.bench.error_pct"), 7.5);
      assert.equal(await value("shop.decimal"), "comma");
    } finally {
      await w.end();
    }
  },
};

const sizes = [{ width: 1280, height: 800 }, { width: 1920, height: 1080 }, { width: 768, height: 1024 }, { width: 390, height: 844 }];
const all = sizes.flatMap((size) => [false, true].flatMap((night) => ["en", "de"].map((language) => ({ size, night, language }))));
// The short run: each story once, and among them every size, both languages, both papers.
const short = [{ size: sizes[0] }, { size: sizes[3], language: "de" }, { size: sizes[1], night: true }, { size: sizes[2], language: "de", night: true }, {}, { size: sizes[0] }];

let failed = 0;
const names = Object.keys(stories).filter((n) => n.includes(process.env.ONLY ?? ""));
for (const [i, name] of names.entries())
  for (const options of process.env.PAGE_RUN === "all" ? all : [short[i % short.length]]) {
    const where = `${options.size?.width ?? 1280}x${options.size?.height ?? 800} ${options.language ?? "en"}${options.night ? " night" : ""}`;
    try {
      await stories[name](options);
      console.log(`ok    ${name} (${where})`);
    } catch (e) {
      failed++;
      console.log(`FAIL  ${name} (${where})\n      ${String(e.stack ?? e).split("\n").slice(0, 6).join("\n      ")}`);
    }
  }
process.exit(failed ? 1 : 0);
