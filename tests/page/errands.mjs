// errands.mjs - the ten errands of a day by keys, each counted from the idle page and held against the table in
// docs/page.md. A tap does what a key does: a line is its digit, the foot line is Enter.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { choose, finished } from "./day.mjs";
import { begin, cupOn } from "./hands.mjs";

// {errand: keys} as the paper has it.
function written() {
  const paper = readFileSync(join(process.env.POISE_TREE, "docs/page.md"), "utf8");
  return Object.fromEntries([...paper.matchAll(/^\| ([^|]+) \| (\d+) keys? \|/gm)].map(([, name, keys]) => [name.trim(), Number(keys)]));
}

const said = (w, code) => w.page.evaluate(async (c) => (await import("/page/words.js")).word(c), code);
const idle = (w) => w.page.evaluate(() => { window.poise.home(); window.poise.picked = null; });

// Each is told from the idle page; key(k) counts.
const errands = {
  "sign in": async (w, key) => {
    await key(".");
    await w.until(() => window.poise.view.people?.length === 1);
    await key("Enter");
    await w.until(() => window.poise.screen.signed_in === "Ines");
  },
  "print a label again": async (w, key) => {
    await key("2");
    await key(".");
    await w.until(() => window.poise.view.batch);
    await key(String(await w.page.evaluate(() => document.querySelectorAll(".rows .pick").length)));
    await key("Enter");
    await w.shows(".foot [role=alert]");
  },
  "weigh a cup back": async (w, key) => {
    await key("2");
    await key(".");
    await choose(w, await said(w, "page.weigh_back"), key);
    await key("Enter");
    w.hand("cup 71.2");
    await w.shows(".view-weighback .sill.key");
    await key("Enter");
    await w.shows(".view-record");
    w.hand("lift");
  },
  "keep a spray-out card": async (w, key) => {
    await key("1");
    await key(".");
    await w.until(() => window.poise.view.order);
    await key(".");
    await w.shows(".view-cards");
    await key(".");
    await key("1");
    await key("4");
    await key("Enter");
    await w.until(() => window.poise.view.cards?.length === 1);
  },
  "say where a cup stands": async (w, key) => {
    await key("2");
    await key(".");
    await choose(w, await said(w, "page.cup_acts"), key);
    await key("Enter");
    await w.until(() => window.poise.view.cup?.weighed !== undefined);
    await choose(w, await said(w, "page.give_place"), key);
    await key("Enter");
    await w.shows("#field-place");
    for (const c of "B3") await key(c);
    await key("Enter");
    await w.until(() => window.poise.view.cup?.place === "B3");
  },
  "a touch-up from a cup of the shelf": async (w, key) => {
    await key("0");
    await key("4");
    await key("Enter");
    await w.until(() => window.poise.view.cups?.length === 1);
    await key("."); // poured from, then weighed back
    w.hand("cup 61.2");
    await w.shows(".view-weighback .sill.key");
    await key("Enter");
    await w.shows(".view-shelf");
    w.hand("lift");
  },
  "mix a batch of today again": async (w, key) => {
    await key("2");
    await key("Enter");
    await w.shows(".view-amount .sill.key");
    await key("Enter");
    await w.shows(".in-cup");
    await w.call("batch.hold", { station: "bench", request: "hold", revision: (await w.screen()).revision });
    await w.shows(".in-idle");
  },
  "pour on in a held batch": async (w, key) => { // by its number, as a week later nothing of it stands on the idle page
    await key("Enter");
    for (const c of "#2") await key(c);
    await w.until(() => window.poise.view.open?.batch?.batch === "2");
    await key("Enter");
    await w.until(() => window.poise.view.batch);
    await key("Enter");
    await w.shows(".in-cup");
    await w.call("batch.scrap", { station: "bench", request: "scrap", revision: (await w.screen()).revision, why: "dirt" });
    await w.shows(".in-idle");
  },
  "throw away what is past its date": async (w, key) => {
    await w.call("batch.shelve", { batch: "1", place: "B 3", use_by: "2020-01-31" });
    await key("0");
    await key("4");
    await key("Enter");
    await w.until(() => window.poise.view.cups?.length === 1);
    await key("Enter");
    await w.until(() => window.poise.view.cup?.weighed !== undefined);
    await key("Enter");
    await w.shows(".view-shelf");
  },
  "begin an order's next coat": async (w, key) => {
    await key("1");
    await key("Enter");
    await w.shows(".in-cup");
    await w.call("batch.scrap", { station: "bench", request: "scrap2", revision: (await w.screen()).revision, why: "dirt" });
    await w.shows(".in-idle");
  },
};

export const errandStories = (inWorld) => ({
  "ten errands by keys, counted as the paper has them": (options) => inWorld(options, async (w) => {
    const counted = {};
    await finished(w);
    await w.call("people.put", { painter: "Ines" });
    await w.call("order.put", { order: "4417", coats: [{ coat: "ground", formula: "TI-207", variant: "standard", grams: 40 }] });
    await idle(w);
    for (const [name, steps] of Object.entries(errands)) {
      await idle(w);
      await w.until(() => window.poise.orders?.length === 1 && window.poise.today?.length >= 1);
      counted[name] = 0;
      await steps(w, async (k) => { counted[name]++; await w.key(k); });
    }
    await idle(w);
    counted["a colour by its code, to the first pour"] = 1 + await begin(w, "118", "250");
    await cupOn(w);
    console.log(`      ${Object.entries(counted).map(([name, n]) => `${name} ${n}`).join(", ")}`);
    assert.deepEqual(written(), counted);
  }),
});
