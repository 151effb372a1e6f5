// shelf.js - cups that are left: where each stands, what is left in it, until when it is good; placed, discarded, mixed
// on. What is past or activated is the daemon's to say.
import { el } from "./draw.js";
import { Ask, List } from "./list.js";
import { openAmount } from "./amount.js";
import { call } from "./link.js";
import { cupDetail, cupName, leave, leftOf, useBy, WeighBack, whyText } from "./leftover.js";
import { openRecord } from "./record.js";
import { cupGoes, readUses, usesRow } from "./use_up.js";
import { day, dayTyped, grams, said, typed, word } from "./words.js";

const CUPS = 100; // of a list

// ---- placed, discarded ----

// Both at once: a place alone would put the date back to the usual one.
const shelved = (cup, more) => ({ batch: cup.batch, ...(cup.place ? { place: cup.place } : {}), ...(cup.use_by && !cup.activated
  ? { use_by: cup.use_by.slice(0, 10) } : {}), ...more });

const askPlace = (app, cup, places) => app.open(new Ask("ask", word("page.place_of", { batch: cup.batch }), {
  ask: "place", label: word("member.place"), choices: places.map((value) => ({ value })), says: (value) => word("page.stands", { place: value }),
  async run(a, place) {
    if (await a.act({ method: "batch.shelve", params: shelved(cup, { place }) })) leave(a, word("page.stands", { place }));
  } }));

// A day, as it is spoken or written; activated paint keeps its pot life, so it has no such line.
const askUseBy = (app, cup) => app.open(new Ask("ask", word("page.use_by_of", { batch: cup.batch }), {
  ask: "use_by", label: word("member.use_by"), hint: word("page.day_form"), says: (value) => `${word("member.use_by")} ${dayTyped(value, true) || value}`,
  async run(a, text) {
    const use_by = dayTyped(text, true) || text;
    if (await a.act({ method: "batch.shelve", params: shelved(cup, { use_by }) })) leave(a, useBy({ use_by }));
  } }));

async function discard(app, cup) {
  const r = await app.act({ method: "batch.discard", params: { batch: cup.batch } });
  if (r) leave(app, said(r.said));
}

// ---- one cup: what can be done with it ----

const mixMore = (app, c) => openAmount(app, { formula: c.formula, coat: c.coat, variant: c.variant ?? "standard", have: `${c.batch} ${grams(c.left_g ?? c.total_g)}`,
  title: `${cupName(c)}, ${word(`coat.${c.coat}`)}` });

function cupRows(app, view) {
  const c = view.cup, begin = app.screen.moves.find((m) => m.act.method === "batch.begin")?.open;
  if (!c) return [];
  const usable = cupGoes(c);
  return [
    usable && { text: word("page.take_from_cup"), detail: word("page.take_from_cup_how"), run: () => app.open(new WeighBack(c)) },
    { text: word("page.weigh_back"), run: () => app.open(new WeighBack(c)) },
    { text: word("page.give_place"), figure: c.place ?? "", run: () => askPlace(app, c, view.places) },
    !c.activated && { text: word("page.give_use_by"), figure: c.use_by ? day(c.use_by) : "",
      shut: c.place ? "" : word("page.place_first"), run: () => askUseBy(app, c) },
    usable && c.coat && { text: word("page.pour_on_cup"), shut: begin ? "" : word("page.find_shut"), run: () => mixMore(app, c) },
    usable && usesRow(app, view, begin),
    { text: word("page.batch", { batch: c.batch }), run: () => openRecord(app, c.batch) },
    { text: word("page.discard", { left: leftOf(c) }), detail: word(c.activated ? "page.discard_open" : "page.discard_how"), warn: true,
      run: () => discard(app, c) }].filter(Boolean);
}

// cup: a row of shelf.list, or of batch.find; places: where other cups stand, to choose from.
export function openCup(app, cup, places = []) {
  const view = new List("cup", () => `${cupName(view.cup)} ${word("page.batch", { batch: cup.batch })}`, (a) => cupRows(a, view), {
    cup, places,
    above: () => [el("p", { class: "both" }, [leftOf(view.cup), view.cup.place && word("page.stands", { place: view.cup.place }),
      useBy(view.cup)].filter(Boolean).join(", ")), view.cup.why && el("p", { class: "rubric" }, whyText(view.cup))].filter(Boolean),
    read: async (a) => {
      const b = await call("batch.get", { batch: cup.batch, events: 1 }).catch(() => null);
      if (b?.shelf) Object.assign(view.cup, { ...b.shelf, total_g: b.total_g, activated: b.activated });
      a.draw();
      await readUses(a, view);
    } });
  app.open(view);
  if (cup.why) view.choose(app, cupRows(app, view).length - 1); // what must go: discard is chosen, the foot line commits it
}

// ---- the shelf ----

const cupRow = (app, view, c) => ({ text: `${c.place ?? "?"}  ${cupName(c)}`, detail: cupDetail(c), warns: whyText(c), figure: leftOf(c),
  kind: c.why ? "gone" : "", cup: c, says: word("page.cup_of", { batch: c.batch }),
  run: () => openCup(app, c, [...new Set(view.cups.map((x) => x.place).filter(Boolean))]) });

export function openShelf(app) {
  const view = new List("shelf", word("page.shelf"), (a) => [...(view.cups ?? []).map((c) => cupRow(a, view, c)),
    { text: word("page.round"), run: () => openRound(a) }], {
    secondOf: (a, row) => row.cup && { text: word("page.weigh_back"), run: () => a.open(new WeighBack(row.cup)) },
    read: async (a) => {
      view.cups = (await a.ask("shelf.list", { limit: CUPS }))?.cups ?? [];
      a.draw();
    } });
  app.open(view);
}

// ---- the round: what must go, and what must be ordered ----

const askStock = (app, t, method, title) => app.open(new Ask("ask", `${title}: ${t.toner} ${t.name}`, {
  ask: "grams", mode: "number", label: word("page.grams"), says: (value) => `${title}: ${t.toner} ${value} g`,
  async run(a, value) { if (await a.act({ method, params: { toner: t.toner, grams: typed(value) } })) a.back(); } }));

function stockRow(app, t) {
  const low = t.reorder_g !== null && word("page.reorder_below", { reorder_g: t.reorder_g });
  return { text: `${t.toner} ${t.name}`, detail: [t.place, low, t.runs_out && word("page.runs_out", { day: day(t.runs_out) })].filter(Boolean).join(", "),
    figure: t.grams === null ? "?" : `${grams(t.grams)} g`, toner: t, says: word("page.tin_came"),
    run: () => askStock(app, t, "stock.receive", word("page.tin_came")) };
}

// Who walks the round has the bank before them: pigment, pearl and flake settle over night.
const stirRow = { get text() { return word("page.stir_all"); }, get detail() { return word("page.stir_all_how"); },
  run: async (app) => {
    if (!(await app.act({ method: "stock.stir", params: { all: true } }))) return;
    app.note = word("page.stirred");
    app.draw();
  } };

export function openRound(app) {
  const view = new List("round", word("page.round"), (a) => [...(view.cups ?? []).map((c) => cupRow(a, view, c)),
    ...(view.stock ?? []).map((t) => stockRow(a, t)), stirRow], {
    above: () => (view.cups?.length === 0 && view.stock?.length === 0 ? [el("p", {}, word("page.round_done"))] : []),
    secondOf: (a, row) => row.toner && { text: word("page.count_stock"), run: () => askStock(a, row.toner, "stock.count", word("page.count_stock")) },
    read: async (a) => {
      const [due, low] = await Promise.all([a.ask("shelf.list", { due: true, limit: CUPS }), a.ask("stock.list", { reorder: true, limit: CUPS })]);
      Object.assign(view, { cups: due?.cups ?? [], stock: low?.stock ?? [] });
      a.draw();
    } });
  app.open(view);
}
