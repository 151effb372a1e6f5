// words.js - sentences by their codes, and numbers as the shop writes them. The one table of words is the daemon's
// (/words/LANG.json); nothing here makes a sentence of its own.

let table = {};
export let language = "en";
const style = { point: ".", d_g: null };

// Reads the table of a language; keeps the one there is where it cannot be read.
export async function loadWords(name) {
  const answer = await fetch(`/words/${name === "de" ? "de" : "en"}.json`);
  table = await answer.json();
  language = name === "de" ? "de" : "en";
  document.documentElement.lang = language;
}

// decimal: "point" or "comma"; d_g: the scale's interval, null where it is not known.
export function setStyle(decimal, d_g) {
  style.point = decimal === "comma" ? "," : ".";
  style.d_g = d_g;
}

// Decimals that an interval needs: 0 for 1 g, 1 for 0.1 and 0.5 g, 2 for 0.05 g (as text/number.c has it).
export function decimalsOf(d_g) {
  if (!(d_g > 0)) return 2;
  let n = 0;
  while (n < 4 && Math.abs(d_g * 10 ** n - Math.round(d_g * 10 ** n)) > 1e-6) n++;
  return n;
}

// A number with so many decimals, the shop's sign, a true minus; "?" where it is not known.
export function fixed(value, decimals, plus = false) {
  if (typeof value !== "number" || !Number.isFinite(value)) return "?";
  const text = Math.abs(value).toFixed(decimals);
  const zero = Number(text) === 0;
  const sign = zero ? "" : value < 0 ? "\u2212" : plus ? "+" : "";
  return sign + text.replace(".", style.point);
}

// Grams as the scale shows them.
export const grams = (value, plus = false) => fixed(value, decimalsOf(style.d_g), plus);

// As many decimals as it needs, at most 6.
export function plain(value) {
  if (typeof value !== "number" || !Number.isFinite(value)) return "?";
  const text = String(Number(value.toFixed(6)));
  return (value < 0 ? "\u2212" + text.slice(1) : text).replace(".", style.point);
}

// What a person typed, with either sign; NaN where it is no number.
export const typed = (text) => (/^\d+([.,]\d*)?$|^[.,]\d+$/.test(text) ? Number(text.replace(",", ".")) : NaN);

// Slots that hold a fixed name, by the family of its word.
const fixedNames = { coat: "coat", finish: "finish", role: "role", state: "state", cue: "cue", remedy: "remedy", why: "reason", cause: "reason" };

function slotText(name, value) {
  if (typeof value === "string") return (fixedNames[name] && table[`${fixedNames[name]}.${value}`]) || value;
  if (name === "d_g") return plain(value);
  if (name.endsWith("_g")) return grams(value);
  if (/_(ml|s|min)$/.test(name)) return fixed(value, 0);
  if (name.endsWith("_pct")) return fixed(value, 1);
  return plain(value);
}

// The plural stands for all counts but 1; a count is a number whose name bears no unit.
function formOf(row, args) {
  if (!Array.isArray(row)) return row;
  const count = Object.entries(args).find(([name, v]) => typeof v === "number" && !/_(g|ml|s|min|pct)$/.test(name));
  return count && count[1] === 1 ? row[0] : row[1];
}

// The words of a code, its slots filled; the code itself where it has none, so that a gap is seen.
export function word(code, args = {}) {
  const row = table[code];
  if (row === undefined) return code;
  return formOf(row, args).replace(/\{\{|\}\}|\{(\w+)\}/g, (all, name) =>
    name === undefined ? all[0] : name in args ? slotText(name, args[name]) : "?");
}

// As a sentence that stands alone: a great letter, a full stop.
export const sentence = (text) => (text ? `${text[0].toUpperCase()}${text.slice(1)}${/[.?!]$/.test(text) ? "" : "."}` : "");

// A said of the daemon; "" for null.
export const said = (s) => (s ? word(s.code, s.args) : "");
// Its help, "": none.
export const helpOf = (s) => (s && `${s.code}.help` in table ? word(`${s.code}.help`, s.args) : "");
export const has = (code) => code in table;

// Grams of colour, or of a product's first part, and what is to be sprayed where that is known.
export function amounts(total_g, part, spray_ml = null) {
  const of = part ? word("page.part", { total_g, part }) : word("page.colour", { colour_g: total_g });
  return spray_ml === null ? of : `${of}, ${word("page.spray", { spray_ml })}`;
}

// The hour of an RFC 3339 time as it was written, in the shop's own zone.
export const hour = (time) => (time ? time.slice(11, 16) : "");
export const hourAndSecond = (time) => (time ? time.slice(11, 19) : "");
export function day(time) {
  if (!time) return "";
  const [, month, date] = time.slice(0, 10).split("-");
  const point = language === "de" ? "." : "";
  return `${Number(date)}${point} ${word(`month.${Number(month)}`)}`;
}

// A day as a person types it: 2026-11-25, 25.11., 25.11.2026, 25 Nov, or `today`; YYYY-MM-DD, "" where it is none. Without
// a year it is the last such day, or with `ahead` the next.
export function dayTyped(text, ahead = false) {
  if (text && text.toLowerCase() === word("page.today").toLowerCase()) return new Date().toLocaleDateString("sv-SE");
  const iso = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(text), local = /^(\d{1,2})\.(\d{1,2})\.(\d{4})?$/.exec(text);
  const named = /^(\d{1,2})\.?\s+(\p{L}{3,})\.?$/u.exec(text);
  if (iso) return written(Number(iso[1]), Number(iso[2]), Number(iso[3]), ahead);
  if (local) return written(local[3] ? Number(local[3]) : 0, Number(local[2]), Number(local[1]), ahead);
  if (!named) return "";
  const months = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
  const alike = (month) => word(`month.${month}`).toLowerCase().slice(0, 3) === named[2].toLowerCase().slice(0, 3);
  return written(0, months.find(alike) ?? 0, Number(named[1]), ahead);
}

function written(year, month, date, ahead) {
  const now = new Date(), guess = new Date(year || now.getFullYear(), month - 1, date);
  if (month < 1 || guess.getMonth() !== month - 1 || guess.getDate() !== date) return "";
  if (!year && !ahead && guess > now) guess.setFullYear(guess.getFullYear() - 1);
  if (!year && ahead && new Date(now.getFullYear(), month - 1, date + 1) < now) guess.setFullYear(guess.getFullYear() + 1);
  return guess.toLocaleDateString("sv-SE");
}
