// order.js - an order in words, and as order.put takes it again. It must not know a page.
import { grams, plain, word } from "./words.js";

// `ground TI-207 darker`, `clear CLEAR-40`.
export function coatName(c) {
  return [c.coat && word(`coat.${c.coat}`), c.formula ?? c.product, c.variant !== "standard" && c.variant,
    c.formula && c.product].filter(Boolean).join(" ");
}

// `2× bonnet`, `3× left front door 50 %`.
const panelText = (p) => [`${p.coats}× ${p.name}`, p.share_pct !== 100 && `${plain(p.share_pct)} %`, p.edges && word("page.edges_alone")]
  .filter(Boolean).join(" ");

// How much of it the order asks for; "": nobody said yet.
export function coatAmount(c) {
  if (c.grams !== null) return `${grams(c.grams)} g`;
  return c.panels.map(panelText).join(", ");
}

// The coat that is sprayed next of those that nobody has mixed yet.
export const nextCoat = (order) => order.coats.find((c) => c.state === "not_mixed");

const given = (object, names) => Object.fromEntries(names.filter((name) => object[name] !== null && object[name] !== undefined)
  .map((name) => [name, object[name]]));

// A coat as a put takes it: all that was said of it, nothing of what became of it.
export function coatOf(c) {
  const out = given(c, ["coat", "formula", "variant", "product", "grams", "mids", "film_um", "transfer_pct", "loss_ml", "control_coat"]);
  return c.panels?.length ? { ...out, panels: c.panels.map((p) => given(p, ["name", "coats", "area_m2", "share_pct", "edges"])) } : out;
}

// A put replaces the whole order, so what was there goes back with it; more: what becomes of it.
export const putOf = (order, more = {}) => ({ ...given(order, ["order", "vehicle", "painter", "due", "card", "closed"]),
  coats: order.coats.map(coatOf), ...more });
