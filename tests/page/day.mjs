// day.mjs - the second half of a painter's day at the page: orders and their coats, spray-out cards, the shelf, who works
// here. Each story has a shop of its own; states of these views are looked at by walkDay.
import assert from "node:assert/strict";
import { accept, cupOn, pourOn } from "./hands.mjs";

// A page of the contents by its digit.
export async function contents(w, digit) {
  await w.page.evaluate(() => window.poise.home());
  await w.key("0");
  await w.key(String(digit));
  await w.key("Enter");
}
const JOB = 3, SHELF = 4, PEOPLE = 5;

export const type = async (w, field, text) => {
  await w.shows(`#field-${field}`);
  await w.page.fill(`#field-${field}`, text);
};

// The row of a list that holds the text, chosen by its digit.
export async function choose(w, text, key = (k) => w.key(k)) {
  await w.until((t) => [...document.querySelectorAll(".rows .pick")].some((b) => b.textContent.includes(t)), text);
  const n = await w.page.evaluate((t) => [...document.querySelectorAll(".rows .pick")].findIndex((b) => b.textContent.includes(t)) + 1, text);
  await key(String(n));
}

// A batch of TI-118 poured to its end and finished; the cup is then off the scale.
export async function finished(w, grams = 60) {
  await w.call("batch.begin", { station: "bench", request: `b${grams}`, formula: "TI-118", coat: "base", variant: "standard", grams });
  await w.shows(".in-cup");
  await cupOn(w);
  await pourOn(w);
  await w.shows(".in-done");
  await w.key("Enter");
  await w.shows(".in-idle .today .pick");
  w.hand("lift");
}

// Puts an order in by the form; the first coat is then open.
export async function putOrder(w, order) {
  await contents(w, JOB);
  await w.shows(".view-job");
  await w.key(".");
  await type(w, "order", order);
  await type(w, "vehicle", "van 3");
  await type(w, "colour", "207");
  await w.until(() => window.poise.view.found?.code === "TI-207");
  await type(w, "grams", "40");
  await w.shows(".view-orderform .sill.key");
  await w.key("Enter");
  await w.shows(".view-order");
  await w.until(() => window.poise.view.order?.coats.length > 1);
}

export const dayStories = (inWorld) => ({
  "a tint is kept under a name of its own, and mixed by it": (options) => inWorld(options, async (w) => {
    await w.call("batch.begin", { station: "bench", request: "t0", formula: "TI-118", coat: "base", variant: "standard", grams: 60 });
    await w.shows(".in-cup");
    await cupOn(w);
    await pourOn(w);
    await w.shows(".in-done");
    const { revision } = await w.screen();
    await w.call("batch.tint", { station: "bench", revision, request: "t1", toner: "K01" });
    await w.shows(".in-pour");
    w.hand("pour 2 100");
    await accept(w);
    await w.until(() => window.poise.screen.facts.length > 0 && window.poise.screen.state === "done");
    await w.shows(".in-done .sill.key");
    await w.key("Enter");
    await w.shows(".in-idle .today .pick");
    w.hand("lift");
    await w.key("1");
    await w.key(".");
    await w.shows(".view-record");
    await choose(w, await w.page.evaluate(async () => (await import("/page/words.js")).word("page.keep_variant_as")));
    await w.key("Enter");
    await type(w, "variant", "darker of van 3");
    await w.shows(".sill.key");
    await w.key("Enter");
    await w.shows(".view-record");
    const { coats } = await w.call("formula.get", { formula: "TI-118" });
    const kept = coats.find((c) => c.variant === "darker of van 3");
    const sum = (parts) => parts.reduce((all, p) => all + p.parts, 0);
    const black = (c) => sum(c.parts.filter((p) => p.toner === "K01")) / sum(c.parts);
    assert.ok(kept && black(kept) > black(coats.find((c) => c.variant === "standard")));
  }),
  "toners too small for the scale: a premix first, kept by Enter, and the next batch takes from it": (options) => inWorld(options, async (w) => {
    const amount = async () => {
      await w.page.evaluate(() => window.poise.home());
      await w.key("/");
      await type(w, "text", "118");
      await w.until(() => window.poise.view.open?.formula?.code === "TI-118");
      await w.key("Enter");
      await type(w, "grams", "8");
      await w.until(() => window.poise.view.plan?.premix);
    };
    await amount();
    await w.page.click(".premix");
    await w.shows(".in-cup");
    assert.ok((await w.screen()).premix);
    await cupOn(w);
    await pourOn(w);
    await w.shows(".in-done");
    await w.key("Enter");
    await w.until(() => window.poise.view.plan?.premix?.kept); // back at the form that asked for it
    assert.equal(await w.page.inputValue("#field-grams"), "8");
    assert.match(await w.page.textContent(".plan"), /PM-1/);
    w.hand("lift");
    await w.page.evaluate(() => window.poise.home());
    await amount();
    assert.match(await w.page.textContent(".plan"), /PM-1/);
  }),

  "cups of the shelf are used up: offered for an amount, and into the coat that waits": (options) => inWorld(options, async (w) => {
    await finished(w);
    await w.call("batch.weigh_back", { batch: "1", gross_g: 45, cup_tare_g: 5 });
    await w.key("/");
    await type(w, "text", "118");
    await w.until(() => window.poise.view.open?.formula?.code === "TI-118");
    await w.key("Enter");
    await type(w, "grams", "120");
    await w.shows(".uses");
    assert.match(await w.page.textContent(".uses"), /#1 40\.00 g.*EUR/);
    await w.page.click(".uses");
    assert.equal(await w.page.inputValue("#field-have"), "1 40.00");
    await w.shows(".view-amount .sill.key");
    await w.page.fill("#field-have", "1 40 + 9");
    await w.until(() => window.poise.sill.kind === "hand"); // half a cup is none
    await w.call("order.put", { order: "4421", coats: [{ coat: "base", formula: "TI-118", grams: 90 }] });
    await contents(w, SHELF);
    await w.until(() => window.poise.view.cups?.length === 1);
    await w.key("Enter");
    await w.until(() => window.poise.view.uses?.answer);
    await choose(w, "4421");
    await w.key("Enter");
    await w.shows(".in-cup");
    assert.equal((await w.screen()).order, "4421");
    const { shelf } = await w.call("batch.get", { batch: "1" });
    assert.equal(shelf.left_g, 0);
  }),

  "the round ends with the bank: one key says that all tins were stirred": (options) => inWorld(options, async (w) => {
    await w.call("stock.receive", { toner: "S42", grams: 500 });
    await contents(w, SHELF);
    await w.until(() => window.poise.view.cups?.length === 0);
    await w.key("Enter"); // the round is the only line
    await w.until(() => window.poise.view.name === "round" && window.poise.view.stock);
    await w.key("Enter");
    await w.until(() => window.poise.note !== "");
    const row = (await w.call("stock.list", { toner: "S42" })).stock[0];
    assert.equal(row.stirred.slice(0, 10), new Date().toLocaleDateString("sv-SE"));
  }),

  "a tin that is empty: what may be poured in its place is said, and stands first among the wrong tins": (options) => inWorld(options, async (w) => {
    const toner = await w.call("toner.get", { id: "B10" });
    await w.call("toner.put", { ...toner, pigment: "PX 1" });
    await w.call("toner.put", { ...toner, id: "B99", name: "binder, spare", pigment: "PX 1", codes: [] });
    await w.call("batch.begin", { station: "bench", request: "b", formula: "TI-118", coat: "base", variant: "standard", grams: 60 });
    await w.shows(".in-cup");
    await cupOn(w);
    assert.equal((await w.screen()).now.toner, "B10");
    w.hand("pour 5 20");
    await w.until(() => window.poise.weight.settled && window.poise.weight.in_cup_g > 4.9);
    await w.call("batch.accept", { station: "bench", request: "s", revision: (await w.screen()).revision, short: true });
    await w.until(() => window.poise.note.includes("B99"));
    assert.match(await w.page.textContent(".foot"), /B10.*B99 \(.*PX 1/);
    const move = await w.page.evaluate(() => window.poise.screen.moves.findIndex((m) => m.asks.includes("really")));
    await w.page.evaluate(async (i) => (await import("/page/ask.js")).actOrAsk(window.poise, window.poise.screen.moves[i]), move);
    await w.until(() => document.querySelector(".rows .pick b")?.textContent === "B99");
  }),

  "a second person looks at the first pour of a batch, and is named": (options) => inWorld(options, async (w) => {
    await w.call("people.put", { painter: "Ida", glance: 1 });
    await w.call("people.put", { painter: "Ben" });
    await w.call("batch.begin", { station: "bench", request: "g", formula: "TI-118", coat: "base", variant: "standard", grams: 60,
      painter: "Ida" });
    await w.shows(".in-cup");
    await cupOn(w);
    const toner = (await w.screen()).now.toner;
    await w.pour();
    await w.key("Enter");
    await w.shows("#field-glance");
    assert.deepEqual(await w.page.$$eval(".rows .pick b", (all) => all.map((b) => b.textContent)), ["Ben"]); // not herself
    await w.page.click(".rows .pick");
    await w.key("Enter");
    await w.until((t) => window.poise.views.length === 1 && window.poise.screen.now?.toner !== t, toner);
    const { events } = await w.call("batch.get", { batch: (await w.screen()).batch });
    assert.ok(events.some((e) => e.glance === "Ben"));
    await pourOn(w); // the rest asks nobody
    await w.shows(".in-done");
  }),

  "an order is put in, its coats begun with one move from the order, from done and from idle": (options) => inWorld(options, async (w) => {
    await putOrder(w, "4417");
    const order = () => w.call("order.get", { order: "4417" });
    assert.deepEqual((await order()).coats.map((c) => [c.coat, c.state]), [["ground", "not_mixed"], ["mid", "not_mixed"]]);
    await w.key("Enter"); // the next coat is the open line
    await w.shows(".in-cup");
    assert.equal((await w.screen()).coat, "ground");
    assert.equal((await w.screen()).order, "4417");
    await cupOn(w);
    await pourOn(w);
    await w.shows(".next-coat");
    await w.key("1");
    await w.key("Enter"); // finish, and on
    await w.shows(".in-cup");
    assert.equal((await w.screen()).coat, "mid");
    w.hand("lift");
    await w.call("batch.scrap", { station: "bench", request: "s", revision: (await w.screen()).revision, why: "dirt" });
    await w.shows(".in-idle");
    await w.until(() => document.querySelector(".today .pick")?.textContent.includes("4417"));
    await w.key("1");
    await w.key("Enter");
    await w.shows(".in-cup");
    assert.equal((await w.screen()).coat, "mid");
    assert.deepEqual((await order()).coats.map((c) => c.state), ["mixed", "mixing"]);
  }),

  "a coat is changed before it is mixed, a whole order is planned beside it, and nothing of it is lost": (options) => inWorld(options,
    async (w) => {
    const coats = [{ coat: "ground", formula: "TI-207", panels: [{ name: "bonnet", coats: 2 }, { name: "door-left-front", coats: 2, edges: true }] },
      { coat: "mid", formula: "TI-207", panels: [{ name: "bonnet", coats: 3, share_pct: 50 }], mids: 2, transfer_pct: 60, loss_ml: 30, control_coat: true }];
    await w.call("order.put", { order: "4419", vehicle: "van 3", due: "2030-12-03", coats });
    const open = async (line) => {
      await w.until(() => window.poise.view.name === "order" && window.poise.view.plan);
      await choose(w, line);
      await w.key("Enter");
    };
    const said = (code) => w.page.evaluate(async (c) => (await import("/page/words.js")).word(c), code);
    await contents(w, JOB);
    await w.until(() => window.poise.view.orders?.length === 1);
    await w.key("Enter");
    const { layers, cost } = await w.call("mix.plan", { station: "bench", order: "4419" });
    await w.until(() => document.querySelectorAll(".layer").length === 2); // jambs and edges of the ground, then its outsides
    const told = await w.page.evaluate(() => ({ plan: document.querySelector(".plan").textContent, all: document.querySelector("main > .both").textContent,
      says: window.poise.view.plan.layers.map((l) => l.total_g) }));
    assert.ok(told.all.includes(cost.toFixed(2)), told.all);
    for (const l of layers.filter((x) => x.coat_n === 1)) assert.ok(told.plan.includes(l.cost.toFixed(2)), told.plan);
    await open(await said("page.change_coat"));
    await w.shows(".view-coats");
    await choose(w, await said("coat.mid"));
    await w.key("Enter");
    await w.shows(".part");
    await type(w, "film_um", "13,5");
    await type(w, "share_bonnet", "75");
    await w.page.click(".part .panel"); // its jambs and edges alone
    await w.key("Enter");
    await w.until(() => window.poise.view.name === "order");
    const mid = (await w.call("order.get", { order: "4419" })).coats[1], [panel] = mid.panels;
    assert.deepEqual([mid.film_um, mid.mids, mid.transfer_pct, mid.loss_ml, mid.control_coat], [13.5, 2, 60, 30, true]);
    assert.deepEqual([panel.name, panel.coats, panel.share_pct, panel.edges], ["bonnet", 3, 75, true]);
    await open(await said("page.change_order"));
    await type(w, "vehicle", "van 4");
    await type(w, "due", "");
    await w.key("Enter");
    await open(await said("page.close_order"));
    await w.until(() => window.poise.view.name === "job");
    const now = await w.call("order.get", { order: "4419" });
    assert.deepEqual([now.vehicle, now.due, now.closed, now.coats[1].loss_ml, now.coats[0].panels[1].edges], ["van 4", null, true, 30, true]);
  }),

  "a spray-out card is kept, and found before the colour is mixed again": (options) => inWorld(options, async (w) => {
    await putOrder(w, "4418");
    await w.key(".");
    await w.shows(".view-cards");
    await w.key(".");
    await w.shows(".view-card");
    await w.key("1");
    await w.key("4");
    await w.key("5");
    await w.key("Enter");
    await w.shows(".view-cards");
    await w.until(() => window.poise.view.cards?.length === 1);
    const [card] = (await w.call("card.list")).cards;
    assert.deepEqual([card.verdict, card.light, card.order, card.formula, card.coat], ["match", ["sun", "shade"], "4418", "TI-207", "ground"]);
    await w.key("1");
    await w.key("Enter");
    await w.shows("#field-grams");
  }),

  "a cup is placed, weighed back for a touch-up, and discarded with its caution": (options) => inWorld(options, async (w) => {
    const said = (code) => w.page.evaluate(async (c) => (await import("/page/words.js")).word(c), code);
    await finished(w);
    await w.key("1");
    await w.key(".");
    await choose(w, await said("page.weigh_back"));
    await w.key("Enter");
    w.hand("cup 81.2");
    await w.shows(".view-weighback .sill.key");
    await w.key("Enter");
    await w.shows(".view-record");
    w.hand("lift");
    await contents(w, SHELF);
    await w.shows(".view-shelf");
    await choose(w, "TI-118");
    await w.key("Enter");
    await w.shows(".view-cup");
    await choose(w, await said("page.give_place"));
    await w.key("Enter");
    await type(w, "place", "B 3");
    await w.key("Enter");
    await w.shows(".view-cup");
    await w.until(() => window.poise.view.cup.place === "B 3");
    await choose(w, await said("page.give_use_by"));
    await w.key("Enter");
    await type(w, "use_by", "2031-01-30");
    await w.key("Enter");
    await w.shows(".view-cup");
    await w.until(() => window.poise.view.cup.use_by?.startsWith("2031-01-30") && window.poise.view.cup.place === "B 3");
    await w.key("1"); // a touch-up from it
    await w.key("Enter");
    await w.shows(".view-weighback");
    await type(w, "order", "4500");
    w.hand("cup 71.2");
    await w.shows(".view-weighback .sill.key");
    await w.key("Enter");
    await w.shows(".view-cup");
    await w.until(() => Math.abs(window.poise.view.cup.left_g - 40) < 0.02);
    const row = (await w.call("shelf.list")).cups[0];
    assert.ok(Math.abs(row.left_g - 40) < 0.02 && row.place === "B 3");
    await choose(w, "40");
    await w.key("Enter");
    await w.shows(".foot [role=alert]");
    await w.shows(".view-shelf"); // with what to do with it
    await w.until(() => window.poise.view.cups?.length === 0);
  }),

  "a cup of the same colour is offered before it is mixed anew": (options) => inWorld({ ...options, touch: true }, async (w) => {
    await finished(w);
    await w.call("batch.shelve", { batch: "1", place: "B 3" });
    await w.key("/");
    await type(w, "text", "118");
    await w.until(() => window.poise.view.open?.formula?.code === "TI-118");
    while ((await w.page.evaluate(() => window.poise.view.name)) === "find") await w.key("Enter");
    await w.tap(".offers .pick");
    await w.shows(".view-weighback");
  }),

  "a name tapped signs in, stands in the head, and paints the next batch": (options) => inWorld({ ...options, touch: true }, async (w) => {
    for (const painter of ["Ines", "Jo"]) await w.call("people.put", { painter });
    await w.tap(".second");
    await w.shows(".view-people");
    await w.until(() => window.poise.view.people?.length === 2);
    await w.tap(".rows .pick:nth-of-type(1)");
    await w.tap(".commit");
    await w.until(() => window.poise.screen.signed_in === "Ines");
    await w.until(() => document.querySelector("header").textContent.includes("Ines"));
    await w.call("batch.begin", { station: "bench", request: "p1", formula: "TI-118", coat: "base", variant: "standard", grams: 60 });
    assert.equal((await w.screen()).painter, "Ines");
    await contents(w, PEOPLE);
    await w.key("1");
    await w.key("Enter");
    await w.until(() => window.poise.screen.signed_in === null);
  }),
});

// Looks at each state of these views; look(w, name) as states.mjs has it.
export async function walkDay(w, look) {
  await putOrder(w, "4417");
  await w.until(() => window.poise.view.plan);
  await look(w, "order");
  await choose(w, await w.page.evaluate(async () => (await import("/page/words.js")).word("page.change_coat")));
  await w.key("Enter");
  await w.key("2");
  await w.key("Enter");
  await w.until(() => window.poise.view.panels?.kinds?.length > 0);
  await w.page.click(".panels .panel");
  await w.shows(".part");
  await look(w, "coat");
  await w.page.evaluate(() => window.poise.home());
  await w.until(() => document.querySelector(".today .pick")?.textContent.includes("4417"));
  await w.key("1");
  await look(w, "waiting");
  await contents(w, JOB);
  await w.until(() => window.poise.view.orders?.length > 0);
  await look(w, "job");
  await w.key(".");
  await type(w, "order", "4420");
  await type(w, "colour", "207");
  await w.until(() => window.poise.view.found?.code === "TI-207" && window.poise.view.panels.kinds?.length > 0);
  await look(w, "new-order");
  await w.page.evaluate(() => window.poise.home());
  await w.call("card.put", { formula: "TI-207", coat: "ground", variant: "standard", verdict: "match", light: ["sun", "shade"], order: "4417" });
  await w.call("card.put", { formula: "TI-207", coat: "ground", variant: "darker", verdict: "near", light: ["lamp"], note: "a little too dark below" });
  await contents(w, JOB);
  await w.until(() => window.poise.view.orders?.length > 0);
  await w.key("Enter");
  await w.until(() => window.poise.view.order);
  await w.key(".");
  await w.until(() => window.poise.view.cards?.length === 2);
  await look(w, "cards");
  await w.key(".");
  await w.key("1");
  await w.key("4");
  await look(w, "card");
  await w.page.evaluate(() => window.poise.home());
  const batch = (await w.call("batch.find", { state: "finished" })).batches[0].batch;
  await w.call("batch.shelve", { batch, place: "B 3", use_by: "2020-01-31" });
  await contents(w, SHELF);
  await w.until(() => window.poise.view.cups?.length > 0);
  await look(w, "shelf");
  await w.key("Enter");
  await w.until(() => window.poise.view.cup?.weighed !== undefined);
  await look(w, "shelf-cup");
  await w.key("1");
  await w.key("Enter");
  await w.shows(".view-weighback");
  await look(w, "weigh-back");
  await w.page.evaluate(() => window.poise.home());
  for (const painter of ["Ines", "Jo"]) await w.call("people.put", { painter });
  await contents(w, PEOPLE);
  await w.until(() => window.poise.view.people?.length === 2);
  await look(w, "people");
  await w.page.evaluate(() => window.poise.home());
}
