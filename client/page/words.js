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

const fixedNames = ["coat", "finish", "role", "state", "cue", "remedy"];

function slotText(name, value) {
  if (typeof value === "string") return (fixedNames.includes(name) && table[`${name}.${value}`]) || value;
  if (name.endsWith("d_g")) return plain(value);
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

// A said of the daemon; "" for null.
export const said = (s) => (s ? word(s.code, s.args) : "");
// Its help, "": none.
export const helpOf = (s) => (s && `${s.code}.help` in table ? word(`${s.code}.help`, s.args) : "");
export const has = (code) => code in table;

// The hour of an RFC 3339 time as it was written, in the shop's own zone.
export const hour = (time) => (time ? time.slice(11, 16) : "");
export const hourAndSecond = (time) => (time ? time.slice(11, 19) : "");
export function day(time) {
  if (!time) return "";
  const [, month, date] = time.slice(0, 10).split("-");
  const point = language === "de" ? "." : "";
  return `${Number(date)}${point} ${word(`month.${Number(month)}`)}`;
}
