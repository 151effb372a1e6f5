// order.js - an order in words, and as order.put takes it again. It must not know a page.
import { grams, word } from "./words.js";

// `ground TI-207 darker`, `clear CLEAR-40`.
export function coatName(c) {
  return [c.coat && word(`coat.${c.coat}`), c.formula ?? c.product, c.variant !== "standard" && c.variant,
    c.formula && c.product].filter(Boolean).join(" ");
}

// How much of it the order asks for; "": nobody said yet.
export function coatAmount(c) {
  if (c.grams !== null) return `${grams(c.grams)} g`;
  return c.panels.map((p) => `${p.coats}× ${p.name}`).join(", ");
}

// The coat that is sprayed next of those that nobody has mixed yet.
export const nextCoat = (order) => order.coats.find((c) => c.state === "not_mixed");

const given = (object, names) => Object.fromEntries(names.filter((name) => object[name] !== null && object[name] !== undefined)
  .map((name) => [name, object[name]]));

// A put replaces the whole order, so what was there goes back with it; more: what becomes of it.
export const putOf = (order, more = {}) => ({ ...given(order, ["order", "vehicle", "painter", "due", "card", "closed"]),
  coats: order.coats.map((c) => given(c, ["coat", "formula", "variant", "product", "panels", "grams", "mids", "film_um"])), ...more });
