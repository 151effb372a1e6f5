// pad.js - keys on the screen, for a kiosk that is worked by touch alone: its system brings none of its own, as a tablet
// does. They write into the field that has the caret. A real key puts them away until the next touch.
import { el } from "./draw.js";
import { inKiosk } from "./kiosk.js";
import { language } from "./words.js";

const DIGITS = "1234567890", BACK = "\u232B", SHIFT = "\u21E7", SPACE = "\u2423";
const letters = { en: ["qwertyuiop", "asdfghjkl", "zxcvbnm.-#/"], de: ["qwertzuiop\u00FC", "asdfghjkl\u00F6\u00E4", "yxcvbnm.-#/"] };
const names = { [BACK]: "Backspace", [SHIFT]: "Shift", [SPACE]: "Space" };
let touched = false, shift = false;

const fieldOf = (app) => (app.root.contains(document.activeElement) && document.activeElement instanceof HTMLInputElement
  ? document.activeElement : document.getElementById(app.view.caret ?? ""));

// As if it were typed: the view hears of it by the field's own event.
function write(app, key) {
  const input = fieldOf(app);
  if (!input) return;
  if (document.activeElement !== input) input.focus();
  const { selectionStart: from, selectionEnd: to } = input;
  if (key === BACK) input.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
  else input.setRangeText(key === SPACE ? " " : shift ? key.toUpperCase() : key, from, to, "end");
  shift = false;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  app.draw();
}

function keyOf(app, key) {
  const run = key === SHIFT ? () => { shift = !shift; app.draw(); } : () => write(app, key);
  return el("button", { type: "button", class: `padkey ${key === SHIFT && shift ? "chosen" : ""}`, "data-key": key, "aria-label": names[key] ?? null,
    onclick: run }, shift && key.length === 1 ? key.toUpperCase() : key);
}

// null: there is nothing to write here, or keys are at hand.
export function drawPad(app, body) {
  const input = body.some((part) => part?.querySelector?.("input"));
  if (!touched || !input || !inKiosk()) return null;
  const rows = fieldOf(app)?.inputMode === "decimal" ? [`${DIGITS}${app.info.decimal === "comma" ? "," : "."}${BACK}`]
    : [`${DIGITS}${BACK}`, letters[language][0], letters[language][1], `${SHIFT}${letters[language][2]}${SPACE}`];
  return el("div", { class: "pad" }, ...rows.map((row) => el("div", { class: "keys" }, ...[...row].map((key) => keyOf(app, key)))));
}

export function bindPad(app) {
  const becomes = (now) => {
    if (touched === now) return;
    touched = now;
    app.draw();
  };
  addEventListener("pointerdown", (e) => {
    if (e.target.closest?.(".pad")) e.preventDefault(); // the caret stays in its field
    else if (e.pointerType === "touch") becomes(true);
  }, { capture: true });
  addEventListener("keydown", (e) => { if (e.isTrusted) becomes(false); }, { capture: true });
  addEventListener("focusin", (e) => { if (touched && e.target instanceof HTMLInputElement) app.draw(); }); // letters or figures
}
