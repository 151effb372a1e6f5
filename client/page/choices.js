// choices.js - what may be chosen beside the amount: hardener by speed and reducer by temperature as the product lists
// them, a reducer of the formula's own line, a product to mix the colour with, a cup. The daemon judges what fits.
import { call } from "./link.js";
import { plain, word } from "./words.js";

const COLOUR = "colour"; // a product's first part that stands for any formula

const quiet = (method, params) => call(method, params).catch(() => null);

function degrees(c) {
  if (c.min_c === null && c.max_c === null) return "";
  return `${c.min_c === null ? "" : plain(c.min_c)}\u2013${c.max_c === null ? "" : plain(c.max_c)} °C`;
}

const detailOf = (c) => [c.speed, degrees(c)].filter(Boolean).join(", ");
const items = (list) => list.map((c) => ({ id: c.id, text: c.id, detail: detailOf(c) }));

// Hardener and reducer of a product. Both go as one list of parts, in the product's own order.
function productGroups(product) {
  const { parts, hardeners, reducers } = product;
  const usual = (list) => parts.find((part) => list.some((c) => c.id === part));
  const partsOf = (taken) => parts.map((part) => (part === usual(hardeners) ? taken.hardener ?? part : part === usual(reducers)
    ? taken.reducer ?? part : part));
  const group = (name, title, list) => ({ name, title, items: items(list), usual: usual(list),
    params: (taken) => (taken.hardener || taken.reducer ? { parts: partsOf(taken) } : {}) });
  return [hardeners?.length > 1 && group("hardener", word("page.hardener"), hardeners),
    reducers?.length > 1 && group("reducer", word("page.reducer"), reducers)].filter(Boolean);
}

// A reducer of the formula's line; without a choice the daemon takes the usual one of the finish.
async function reducerGroup(formula) {
  const [known, toners] = await Promise.all([quiet("formula.get", { formula }), quiet("toner.list", { limit: 1000 })]);
  const fit = (toners?.toners ?? []).filter((t) => t.role === "reducer" && t.line === known?.line);
  if (fit.length < 2) return [];
  return [{ name: "reducer", title: word("page.reducer"), usual: null,
    items: fit.map((t) => ({ id: t.id, text: t.id, detail: t.name ?? "" })),
    params: (taken) => (taken.reducer ? { reducer: taken.reducer } : {}) }];
}

// What a colour may be mixed with: only a coat that products are meant for has such a choice.
function mixedWith(products, coat) {
  const fit = products.filter((p) => p.parts[0] === COLOUR && p.role === coat);
  if (!fit.length) return [];
  return [{ name: "product", title: word("page.mixed_with"), usual: null, again: true,
    items: fit.map((p) => ({ id: p.id, text: p.id, detail: p.ratio })),
    params: (taken) => (taken.product ? { product: taken.product } : {}) }];
}

async function cupGroup() {
  const cups = (await quiet("cup.list", {}))?.cups ?? [];
  if (cups.length < 2) return [];
  return [{ name: "cup", title: word("page.cup"), usual: null, items: cups.map((c) => ({ id: c.ml, text: `${c.ml} mL`, detail: "" })),
    params: (taken) => (taken.cup ? { cup_ml: taken.cup } : {}) }];
}

// The groups of an amount page. what: as Amount has it; taken: what is chosen by now, {group: id}. Each group has its
// items, its usual one (null: the daemon's own choice) and the params that come of what is taken.
export async function choicesOf(what, taken) {
  if (what.repeat) return [];
  const products = (await quiet("product.list", {}))?.products ?? [];
  const product = products.find((p) => p.id === (what.product ?? taken.product));
  const mixed = what.formula ? mixedWith(products, what.coat) : [];
  const own = product ? productGroups(product) : what.formula ? await reducerGroup(what.formula) : [];
  return [...mixed, ...own, ...(await cupGroup())];
}
