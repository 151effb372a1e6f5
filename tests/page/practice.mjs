// practice.mjs - a practice at the page: begun from the menu, moved by the simulated hand and the bench's own keys, and
// home again however it ends. Each story has a shop of its own; nothing of a practice may be found in it afterwards.
import assert from "node:assert/strict";
import { accessible, begin, fits } from "./hands.mjs";

const PRACTICE = 8; // its digit in the menu of an idle bench
const MISHAP_KEYS = 4; // 0, 8, Enter, Enter: the first mishap, of who is signed in

// An Enter by which the page goes to another bench: it is loaded anew, so nothing of the old one can be asked after it.
async function leave(w) {
  await w.until(() => performance.now() - window.poise.stoodSince > 400 && !window.poise.flight);
  await w.page.keyboard.press("Enter");
}

// From idle to the bench to practise at, by keys. Tells how many it took.
async function practise(w, scenario = 1) {
  let keys = 0;
  const key = async (k) => { keys++; await w.key(k); };
  await w.call("people.put", { painter: "Ines" });
  await w.call("people.sign_in", { station: "bench", painter: "Ines" });
  await w.until(() => window.poise.screen.signed_in === "Ines");
  await key("0");
  await key(String(PRACTICE));
  await key("Enter");
  await w.shows(".view-practice");
  if (scenario > 1) await key(String(scenario));
  keys++;
  await leave(w);
  await w.until(() => window.poise?.screen?.practice && !window.poise.lost && window.poise.fresh);
  return keys;
}

// The hand by its digit, then Enter once the foot line is ready for it.
async function handThenEnter(w, digit) {
  const at = await w.page.evaluate(() => window.poise.screen.revision);
  await w.key(digit);
  await w.until(() => window.poise.weight.settled && window.poise.screen.next.kind === "key" && !window.poise.flight);
  await w.key("Enter");
  await w.until((r) => window.poise.screen.revision > r, at);
}

const isHome = (w) => w.until(() => window.poise?.station === "bench" && window.poise.screen?.state === "idle" && window.poise.fresh);

export const practiceStories = (inWorld) => ({
  "a practice: an overpour by the hand, taken out, finished, told, and nothing of it kept": (options) => inWorld(options, async (w) => {
    assert.equal(await practise(w), MISHAP_KEYS);
    assert.equal(await w.page.evaluate(() => window.poise.station), "learn-1");
    await begin(w, "118", "100");
    const look = async (where) => {
      await accessible(w, where);
      await fits(w, where);
      assert.ok(await w.page.isVisible(".mark"), where);
    };
    await look("practice, cup");
    await handThenEnter(w, "1");
    await w.shows(".in-pour .hand-row");
    await w.key("2");
    await w.until(() => window.poise.weight.cue === "over" && window.poise.weight.settled);
    assert.ok((await w.page.textContent(".foot .caution[role=alert]")).length > 0); // the mishap is told
    await look("practice, pour");
    await w.key("Enter");
    await w.shows(".in-over");
    assert.equal(await w.page.$(".hand-row"), null); // its digits are the remedies'
    await w.key("2");
    await w.key("Enter");
    await w.until(() => window.poise.screen.now?.toner === null);
    await handThenEnter(w, "6");
    while ((await w.page.evaluate(() => window.poise.screen.state)) !== "done") await handThenEnter(w, "2");
    await look("practice, done");
    assert.equal(await w.page.$(".label"), null);
    await w.key("Enter");
    await w.shows(".in-idle");
    await w.key(".");
    await w.shows(".view-learnt");
    await look("practice, told");
    assert.ok((await w.page.$$(".view-learnt li")).length >= 3);
    await leave(w);
    await isHome(w);
    assert.deepEqual((await w.call("batch.find")).batches, []);
  }),

  "a practice by touch: the hand's grams, a lifted cup, a page loaded anew, and the shop out of reach": (options) =>
    inWorld({ ...options, touch: true }, async (w) => {
      await practise(w, 2);
      await w.call("batch.begin", { station: "learn-1", request: "t", formula: "TI-118", coat: "base", variant: "standard", grams: 100 });
      await w.shows(".in-cup");
      await w.tap(".hand-row button:nth-child(1)");
      await w.shows(".sill.key");
      await w.tap(".commit");
      await w.shows(".in-pour");
      await w.tap(".hand-row button:nth-child(5)");
      await w.shows("#field-grams");
      await w.page.fill("#field-grams", "7");
      await w.shows(".sill.key");
      await w.tap(".commit");
      await w.until(() => window.poise.views.length === 1 && window.poise.weight.in_cup_g > 6.9);
      await w.tap(".hand-row button:nth-child(3)");
      await w.until(() => window.poise.screen.lifted);
      await w.page.reload();
      await w.until(() => window.poise?.screen?.lifted && window.poise.station === "learn-1");
      await w.tap(".hand-row button:nth-child(4)");
      await w.until(() => !window.poise.screen.lifted && window.poise.fresh);
      await w.key("0");
      await w.shows(".view-menu");
      const pages = await w.page.evaluate(() => window.poise.view.rows(window.poise).length - window.poise.screen.moves.length);
      assert.equal(pages, 3); // the bench, the colours, and the end of the practice
      const scanned = (code) => w.page.evaluate(async (c) => (await import("/page/scan.js")).scanned(window.poise, c), code);
      await w.call("order.put", { order: "4417", coats: [{ coat: "base", formula: "TI-118", grams: 90 }] });
      await scanned("4417");
      assert.equal(await w.page.evaluate(() => window.poise.view.name), "menu"); // told, not opened
    }),

  "a practice that somebody else ends, and one whose daemon is started anew, lead home and say so": (options) => inWorld(options,
    async (w) => {
      await practise(w);
      await w.call("learn.end", { station: "learn-1" });
      await isHome(w);
      assert.ok((await w.page.textContent(".foot [role=alert]")).length > 0);
      await practise(w);
      await w.kill();
      await w.start();
      await isHome(w);
      assert.ok((await w.page.textContent(".foot [role=alert]")).length > 0);
    }),
});
