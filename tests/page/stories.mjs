// stories.mjs - what a painter does at the page, told to a real browser. Each story has a shop of its own.
import { writeFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import assert from "node:assert/strict";
import { accept, accessible, begin, cupOn, fits, pourOn } from "./hands.mjs";
import { dayStories } from "./day.mjs";
import { practiceStories } from "./practice.mjs";
import { errandStories } from "./errands.mjs";
import { kioskStories } from "./kiosk.mjs";
import { measureDelay, ownScale } from "./delay.mjs";
import { sizes, walk } from "./states.mjs";
import { wallStories } from "./wall.mjs";
import { World } from "./world.mjs";

async function look(w, where) {
  await accessible(w, where);
  await fits(w, where);
}

// A story in a world of its own; the page must not have thrown anything.
async function inWorld(options, tell) {
  const w = await World.begin(options);
  try {
    await tell(w);
    assert.deepEqual(w.faults, []);
  } finally {
    await w.end();
  }
}

// TI-118, 100 g, poured on aim but for the second toner, of which so much too much is poured.
async function overpour(w, extra) {
  await begin(w, "118", "100");
  await cupOn(w);
  await w.pour();
  await accept(w);
  await w.pour(extra);
  await accept(w);
  await w.shows(".in-over");
}

const remedies = {
  async 1(w) {
    await w.shows(".in-pour");
    await pourOn(w);
  },
  async 2(w) {
    await w.until(() => window.poise.screen.now?.toner === null);
    w.hand(`remove ${Math.abs((await w.screen()).now.to_go_g).toFixed(2)}`);
    await w.until(() => window.poise.weight.settled && Math.abs(window.poise.weight.to_go_g) < 0.5);
    await accept(w);
    await w.until(() => window.poise.screen.now?.toner || window.poise.screen.state === "done");
    await pourOn(w);
  },
  async 3(w) {
    await w.until(() => window.poise.screen.state !== "over");
    await pourOn(w);
  },
};

const stories = {
  "every state is right for eyes, fingers and readers": async (options) => assert.deepEqual(await walk(options), []),

  "a batch by keys alone": (options) => inWorld(options, async (w) => {
    const keys = await begin(w, "118", "100");
    assert.ok(keys <= 10, `${keys} keys from idle to the cup`);
    await cupOn(w);
    await pourOn(w);
    await w.shows(".in-done");
    await w.key("+");
    await w.key("Enter");
    await w.shows(".in-idle");
    assert.equal((await w.call("batch.get", { batch: "1" })).state, "finished");
  }),

  ...Object.fromEntries(Object.entries(remedies).map(([digit, rest]) => [`an overpour and remedy ${digit}, by keys`,
    (options) => inWorld(options, async (w) => {
    await overpour(w, 9);
    await w.key("Enter");
    assert.equal((await w.screen()).state, "over", "nothing is chosen before a digit");
    await w.key(digit);
    await w.shows(".remedy.chosen");
    await w.key("Enter");
    await rest(w);
    await w.shows(".in-done");
  })])),

  "a bar-code reader: a wrong tin stops, the right one gives its lot, no key of a code is a key of the bench":
    (options) => inWorld(options, async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    const { now, revision } = await w.screen();
    const other = now.toner === "K01" ? "B10" : "K01";
    await w.pour(); // on aim: an Enter of the code would accept
    await w.scan(`TI${other}-A1`);
    await w.until(() => document.querySelector(".cue")?.dataset.cue === "wrong_tin");
    assert.match(await w.page.evaluate(() => window.poise.note), new RegExp(`${other}.*${now.toner}`));
    await look(w, "wrong tin");
    assert.deepEqual(await w.page.evaluate(() => window.poise.sound.told.slice(-1)), ["over"]);
    assert.equal((await w.screen()).revision, revision);
    await w.scan(`TI${now.toner}-A17`);
    await w.until(() => window.poise.screen.now?.lot === "A17" && !window.poise.wrong);
    await look(w, "the right tin");
    await w.scan("999123");
    await w.until(() => /999123/.test(window.poise.note));
    await w.scan("1212", "");
    await w.until(() => window.poise.sound.told.slice(-1)[0] === "refused");
    assert.equal((await w.screen()).revision, revision + 1);
    await accept(w);
    assert.equal((await w.screen()).steps[0].lot, "A17");
    await w.pour(9);
    await accept(w);
    await w.shows(".in-over");
    await w.scan("3331");
    await w.until(() => /3331/.test(window.poise.note));
    assert.equal(await w.page.evaluate(() => window.poise.choice ?? null), null);
    await w.key("1");
    await w.shows(".remedy.chosen");
    await w.call("order.put", { order: "4417", vehicle: "blue estate", coats: [{ formula: "TI-118", grams: 100 }] });
    await w.scan("POISE:1");
    await w.until(() => window.poise.view.name === "record" && window.poise.view.batch?.batch === "1");
    await w.scan("4417");
    await w.until(() => window.poise.view.name === "order" && window.poise.view.order?.order === "4417");
    await w.key("/");
    await w.shows("#field-text");
    // In a field a code that nothing has stays as it was written, and its Enter is the field's.
    await w.scan("TI-207");
    await w.until(() => window.poise.view.values?.text === "TI-207" && window.poise.view.open?.formula);
  }),

  "a code whose keys a loaded machine hands on late is still no key of the bench": (options) => inWorld(options, async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    await w.pour(9);
    await accept(w);
    await w.shows(".in-over");
    const { revision } = await w.screen();
    await w.scanLate("3331"); // each key alone is a choice, and its Enter would commit it
    await w.until(() => /3331/.test(window.poise.note));
    await w.scanLate("12");
    await w.until(() => window.poise.sound.told.slice(-1)[0] === "refused");
    assert.equal(await w.page.evaluate(() => window.poise.choice ?? null), null);
    assert.deepEqual([(await w.screen()).state, (await w.screen()).revision], ["over", revision]);
  }),

  "touch alone, a colour of today in three taps, and a double tap skips nothing": (options) => inWorld({ ...options, touch: true },
    async (w) => {
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
    for (let screen = await w.screen(); screen.state === "pour"; screen = await w.screen()) {
      await w.pour();
      await w.tap(".commit");
      await w.until((r) => !window.poise.flight && (window.poise.screen.revision > r || window.poise.note), screen.revision);
    }
    await w.shows(".in-done");
    await w.tap(".commit");
    await w.shows(".in-idle .today .pick");
    w.hand("lift");
    await w.tap(".today .pick");
    await w.tap(".commit");
    await w.shows(".view-amount .sill.key");
    await w.tap(".commit");
    await w.shows(".in-cup");
  }),

  "the glove rule: too short, too long or slid off is no touch": (options) => inWorld({ ...options, touch: true }, async (w) => {
    const menu = () => w.page.evaluate(() => window.poise.view.name);
    for (const touch of [{ held: 20 }, { held: 1700 }, { held: 120, slide: -200 }]) {
      await w.tap(".menu", touch);
      assert.equal(await menu(), "bench", JSON.stringify(touch));
    }
    await w.tap(".menu", { held: 900 });
    assert.equal(await menu(), "menu");
    const small = await w.page.evaluate(() => [...document.querySelectorAll("button")].map((b) => b.getBoundingClientRect())
      .filter((r) => r.width > 0 && (r.width < 64 || r.height < 64)).length);
    assert.equal(small, 0, "targets of 64 px both ways");
  }),

  "a silent scale is not shown as live, and comes back": (options) => inWorld(options, async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    w.hand("mute");
    await w.shows(".figures.faded, .figures.dead");
    await w.shows(".figures.dead");
    await w.shows('.cue[data-cue="none"]');
    await w.until(() => window.poise.sound.told.includes("none"));
    await look(w, "stale");
    w.hand("speak");
    await w.until(() => !document.querySelector(".figures.dead"));
  }),

  "a scale that says too heavy is not called silent, and shows dashes": async (options) => {
    const scale = await ownScale();
    let line = () => scale.send(0);
    const speaking = setInterval(() => line(), 50); // the rate of the scale
    try {
      await inWorld({ ...options, port: scale.port }, async (w) => {
        await w.until(() => window.poise.fresh);
        await w.call("batch.begin", { station: "bench", request: "b", formula: "TI-118", coat: "base", variant: "standard", grams: 100 });
        line = () => scale.send(31.2);
        await w.shows(".in-cup .sill.key");
        await w.key("Enter");
        await w.shows(".in-pour");
        line = () => scale.say("OL,+999999.9  g");
        await w.until(() => window.poise.limited && performance.now() - window.poise.seenAt > 1500);
        await w.until(() => /^\u2212+[.,]/.test(document.querySelector(".number svg").getAttribute("aria-label")));
        const said = await w.page.evaluate(async () => { const { said: tell, sentence } = await import("/page/words.js");
          return sentence(tell(window.poise.screen.trouble.said)); });
        assert.equal(await w.page.textContent(".reason .rubric"), said);
        await look(w, "too heavy");
        line = () => scale.send(31.2);
        await w.until(() => window.poise.fresh && !window.poise.limited);
      });
    } finally {
      clearInterval(speaking);
      scale.end();
    }
  },

  "the daemon killed in mid-pour and back: nothing is lost, the page goes on": (options) => inWorld(options, async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    await w.pour();
    await accept(w);
    const before = await w.screen();
    await w.kill();
    await w.until(() => window.poise.lost);
    await w.shows(".figures.dead");
    await look(w, "lost");
    await w.start();
    await w.until(() => !window.poise.lost && window.poise.fresh);
    const after = await w.screen();
    assert.deepEqual(after.steps.map((s) => s.poured_g), before.steps.map((s) => s.poured_g));
    await w.pour();
    await accept(w);
  }),

  "a page opened while poised is away says what is wrong, and opens the bench when it is back": (options) => inWorld(options,
    async (w) => {
    await w.page.evaluate(() => navigator.serviceWorker.ready);
    await w.kill();
    await w.page.reload();
    await w.shows(".away");
    const text = await w.page.textContent(".away");
    assert.ok(text.includes(new URL(w.url).host), text);
    assert.equal(await w.page.evaluate(() => document.documentElement.lang), options.language ?? "en");
    assert.equal(await w.page.evaluate(async () => (await caches.match("/")) ?? null), null, "no page and no token is kept");
    await accessible(w, "away");
    await w.start();
    await w.shows(".view-bench");
    await w.until(() => window.poise?.fresh);
  }),

  "a full disk: the weight stays live, and the accept goes through once there is room": (options) => inWorld({ ...options, disk: true },
    async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    await w.pour();
    const { revision } = await w.screen();
    writeFileSync(w.disk, "write 28"); // ENOSPC
    await w.key("Enter");
    await w.shows(".foot .caution");
    await w.until(() => !window.poise.flight);
    assert.equal((await w.screen()).revision, revision);
    assert.ok(await w.page.evaluate(() => window.poise.fresh && !document.querySelector(".figures.dead")));
    await look(w, "disk full");
    writeFileSync(w.disk, "");
    await accept(w);
  }),

  "two pages at one bench agree, and the slower one is told": (options) => inWorld(options, async (w) => {
    const other = await w.context.newPage();
    await other.goto(w.url);
    await begin(w, "118", "100");
    await other.waitForSelector(".in-cup");
    await cupOn(w);
    await other.waitForSelector(".in-pour");
    const { now } = await w.screen();
    w.hand("pour 5 50");
    await other.waitForFunction(() => Math.abs((window.poise.weight?.in_cup_g ?? 0) - 5) < 0.02);
    const figure = () => document.querySelector(".number svg").getAttribute("aria-label");
    await w.until((g) => window.poise.weight?.settled && Math.abs(window.poise.weight.to_go_g - g) < 0.02, now.to_go_g - 5);
    const shown = await w.page.evaluate(figure);
    await other.waitForFunction((f) => document.querySelector(".number svg").getAttribute("aria-label") === f, shown);
    const old = await other.evaluate(() => window.poise.screen.next);
    await w.until(() => window.poise.weight.settled); // what is to go is known once it stands still
    await w.pour();
    await accept(w);
    await other.evaluate((revision) => window.poise.act({ method: "batch.undo", params: { station: window.poise.station, revision } }),
      old.act?.params.revision ?? 1);
    await other.waitForFunction(() => document.querySelector(".foot [role=alert]"));
  }),

  "a page with nothing typed goes home when somebody pours; a field keeps what is written": (options) => inWorld(options, async (w) => {
    await begin(w, "118", "100");
    await cupOn(w);
    await w.key("0");
    await w.shows(".view-menu");
    w.hand("pour 8 50");
    await w.shows(".view-bench");
    await w.until(() => window.poise.weight.in_cup_g > 7.9 && window.poise.weight.settled);
    await w.key("/");
    await w.shows("#field-text");
    await w.page.fill("#field-text", "118");
    w.hand("pour 4 50");
    await w.until(() => window.poise.weight.in_cup_g > 11.9);
    assert.equal(await w.page.evaluate(() => document.querySelector("#field-text").value), "118");
  }),

  "a setting is changed at the page, one of the file is shut": (options) => inWorld({ ...options, touch: true }, async (w) => {
    const value = async (key) => (await w.call("settings.list")).settings.find((s) => s.key === key).value;
    const choose = (key) => w.page.evaluate((k) => {
      const { view } = window.poise, own = view.rows(window.poise).length - view.shop.length;
      view.choose(window.poise, own + view.shop.findIndex((s) => s.key === k));
    }, key);
    const becomes = (key, wanted) => w.until(([k, v]) => window.poise.view.shop?.find((s) => s.key === k).value === v, [key, wanted]);
    await w.page.evaluate(() => window.poise.pages.find((p) => p.run.name === "openSettings").run(window.poise));
    await w.until(() => window.poise.view.shop?.length > 0);
    await look(w, "settings");
    await choose("station.bench.tolerance_g");
    assert.match(await w.page.textContent(".pick.chosen"), /poised\.ini:\d+/);
    assert.deepEqual(await w.page.evaluate(() => ["aria-pressed", "aria-disabled"].map((a) => document.querySelector(".pick.chosen").getAttribute(a))),
      ["true", "true"], "chosen and shut, for a reader too");
    await choose("station.bench.error_pct");
    await w.key("Enter");
    await w.shows("#field-value");
    for (const c of "7.5") await w.key(c);
    await look(w, "a setting");
    await w.key("Enter");
    await becomes("station.bench.error_pct", 7.5);
    await choose("shop.decimal");
    await w.key("Enter");
    await w.tap(".pick:nth-of-type(2)");
    await w.key("Enter");
    await becomes("shop.decimal", "comma");
    await w.until(() => window.poise.info.decimal === "comma");
    await choose("station.bench.glance_hardener"); // yes or no: a word is put as the value that it stands for
    await w.key("Enter");
    await w.tap(".pick:nth-of-type(2)");
    await w.key("Enter");
    await becomes("station.bench.glance_hardener", true);
    const spoken = w.page.evaluate(() => document.documentElement.lang), other = (await spoken) === "de" ? "en" : "de";
    await w.call("settings.put", { key: "station.bench.language", value: other }); // at another screen
    await w.until((l) => document.documentElement.lang === l, other);
    await w.kill();
    await w.start();
    assert.equal(await value("station.bench.error_pct"), 7.5);
    assert.equal(await value("shop.decimal"), "comma");
  }),

  "the scales: bytes as sent and their age, what a search tried and what came": (options) => inWorld(options, async (w) => {
    const open = (name) => w.until((n) => window.poise.view.name === n, name), told = () => w.page.textContent("main");
    await w.page.evaluate(() => window.poise.pages.find((p) => p.run.name === "openScales").run(window.poise));
    await w.until(() => window.poise.view.scales?.length === 1);
    await w.key("Enter");
    await open("scale");
    w.hand("cup 31.2");
    await w.until(() => /31[.,]20 g .* ms/.test(document.querySelector("main").textContent));
    assert.match(await told(), /31\.20\s+g\\r\\n/, "the frame, its end written as in the configuration");
    await look(w, "a scale");
    await w.key("3");
    await w.key("Enter"); // a scale that is live is not searched for
    await w.until(() => window.poise.note);
    await w.key("0");
    w.hand("mute");
    await w.until(() => window.poise.screen.trouble);
    await w.key("3");
    await w.key("Enter");
    await open("seek");
    w.hand("speak");
    await w.until(() => /profile = hdr2/.test(document.querySelector("main").textContent));
    assert.match(await told(), /\d+ Bytes?: .*31\.20/i, "what came of the try that found it");
    await look(w, "a search");
  }),

  ...dayStories(inWorld),
  ...practiceStories(inWorld),
  ...errandStories(inWorld),
  ...wallStories(inWorld),
  ...kioskStories(inWorld),

  "frame to number drawn, printed and never asserted": async (options) => console.log(`      ${await measureDelay(options)}`),
};

const all = sizes.flatMap((size) => [false, true].flatMap((night) => ["en", "de"].map((language) => ({ size, night, language }))));
// The short run: each story once, and among them every size, both languages, both papers.
const short = [{ size: sizes[0] }, { size: sizes[3], language: "de" }, { size: sizes[1], night: true },
  { size: sizes[2], language: "de", night: true }];
const once = ["every state is right for eyes, fingers and readers",
  "frame to number drawn, printed and never asserted"]; // goes through all looks itself
const only = process.env.PAGE_ONLY ?? "";

// A story told; the words of its failure, null where it went as it should.
async function told(name, options) {
  try {
    await stories[name](options);
    return null;
  } catch (e) {
    return [e.message, ...String(e.stack).split("\n").filter((l) => /^ +at /.test(l)).slice(0, 5)].join("\n      ");
  }
}

// A browser on a machine that others use too may miss its 20 s, so what fails is told once more: twice is a fault. The first
// failure is printed all the same, and counted in the last line.
let failed = 0, again = 0;
async function tell({ name, options }) {
  const { size = sizes[0], language = "en", night } = options;
  const where = `${size.width}x${size.height} ${language}${night ? " night" : ""}`, began = performance.now();
  const first = await told(name, options);
  if (first) console.log(`again ${name} (${where})\n      ${first}`);
  const second = first && await told(name, options);
  if (first) again++;
  if (second) failed++;
  const took = `${Math.round((performance.now() - began) / 1000)} s`;
  console.log(second ? `FAIL  ${name} (${where})\n      ${second}` : `ok    ${name} (${where}) ${took}`);
}

// In all looks most of the time is waiting: for a weight to stand, for a page to have stood. So a few are told at once.
const everything = process.env.PAGE_RUN === "all", atOnce = Number(process.env.PAGE_AT_ONCE ?? (everything ? availableParallelism() : 1));
const tellings = Object.keys(stories).filter((name) => name.includes(only)).flatMap((name, i) =>
  (everything && !once.includes(name) ? all : [once.includes(name) ? {} : short[i % short.length]]).map((options) => ({ name, options })));
await Promise.all(Array.from({ length: atOnce }, async () => {
  for (let next = tellings.shift(); next; next = tellings.shift()) await tell(next);
}));
console.log(`${failed} failed, ${again} told twice`);
process.exit(failed ? 1 : 0);
