// hands.mjs - what hands and eyes do at the page, shared by the stories: looking, beginning a batch, a cup on the scale.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import assert from "node:assert/strict";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// WCAG 2.2 AA, as far as a program can tell; the reason of each finding is printed.
export async function accessible(w, where) {
  await w.page.evaluate(axe);
  const { violations } = await w.page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"] }));
  assert.deepEqual(violations.map((v) => `${v.id}: ${v.nodes[0].html}`), [], where);
}

// Nothing of the page stands beyond its edge, the foot line is on it, nothing that must be read is cut, and in the open
// line nothing stands on anything else.
export async function fits(w, where) {
  const faults = await w.page.evaluate(() => {
    const out = [], box = (e) => e.getBoundingClientRect(),
      all = (what) => [...document.querySelectorAll(what)].filter((e) => box(e).width > 0);
    const edge = document.documentElement.scrollWidth - innerWidth, sill = document.querySelector(".sill");
    if (edge > 0) out.push(`${edge} px beyond the edge`);
    if (!sill || box(sill).bottom > innerHeight + 0.5) out.push("the foot line is not on the page");
    for (const e of all(".says, .bigcode, .cue, .unit, .past, .sums, .waste, .cost, .time, .amounts, .bench, .digit, .line .figure, .verdict")) {
      const { left, right } = box(e);
      if (left < -0.5 || right > innerWidth + 0.5 || e.scrollWidth > e.clientWidth + 1
        && getComputedStyle(e).display !== "inline") out.push(`cut: ${e.className} ${e.textContent}`);
    }
    const parts = all(".open :is(.bigcode, .amounts, .number, .unit, .cue > span, .reason > p, .ruler), .open > .margin");
    parts.forEach((a, i) => parts.slice(i + 1).forEach((b) => {
      const p = box(a), q = box(b), x = Math.min(p.right, q.right) - Math.max(p.left, q.left),
        y = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (a.textContent !== "" && b.textContent !== "" && x > 3
        && y > 6) out.push(`${a.className} ${a.textContent} stands on ${b.className} ${b.textContent}`);
    }));
    return out;
  });
  assert.deepEqual(faults, [], where);
}

// From idle to the cup by keys: find, code, coat, amount. Tells how many keys it took.
export async function begin(w, code, grams, coat = "") {
  let keys = 0;
  const key = async (k) => { keys++; await w.key(k); };
  await key("Enter");
  for (const c of code) await key(c);
  await w.until((c) => window.poise.view.open?.formula?.code.endsWith(c), code);
  if (coat) {
    await key("Enter");
    const place = await w.page.evaluate((c) => window.poise.view.open.formula.coats.findIndex((x) => x.coat === c) + 1, coat);
    await key(String(place));
  }
  while ((await w.page.evaluate(() => window.poise.view.name)) === "find") await key("Enter");
  await w.shows("#field-grams");
  for (const c of grams) await key(c);
  await w.shows(".view-amount .sill.key");
  await key("Enter");
  await w.shows(".in-cup");
  return keys;
}

export async function cupOn(w) {
  w.hand("cup 31.2");
  await w.shows(".in-cup .sill.key");
  await w.key("Enter");
  await w.shows(".in-pour");
}

// Enter until the bench has moved on: a weight that moved just then is refused, and a person presses again.
export async function accept(w) {
  const { revision } = await w.screen();
  for (let tries = 0; tries < 5 && (await w.screen()).revision === revision; tries++) {
    await w.shows(".sill.key");
    await w.key("Enter");
    await w.until((r) => !window.poise.flight && (window.poise.screen.revision > r || window.poise.note), revision);
  }
  await w.until((r) => window.poise.screen.revision > r, revision);
}

// Pours on aim whatever is left of the formula.
export async function pourOn(w) {
  for (let screen = await w.screen(); screen.state === "pour"; screen = await w.screen()) {
    await w.pour();
    await accept(w);
  }
}

// The amount page of a product, by typing its name.
export async function amountOf(w, product) {
  await w.key("/");
  await w.shows("#field-text");
  await w.page.fill("#field-text", product);
  await w.until((p) => window.poise.view.open?.product?.id === p, product);
  await w.key("Enter");
  await w.shows("#field-grams");
}
