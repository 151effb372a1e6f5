// keys.js - number pad, foot switch and keyboard to moves of the page. A foot switch is an Enter; a bar-code reader
// types a code and an Enter (scan.js).
import { Reader, codeLost, scanned } from "./scan.js";

export function bindKeys(app) {
  let chosen = null; // what was chosen before keys were played
  const reader = new Reader({
    play(keys) {
      chosen = { choice: app.choice, picked: app.picked };
      keys.forEach((key) => press(app, key));
    },
    unplay() {
      Object.assign(app, chosen);
      chosen = null;
    },
    scanned: (code, written) => scanned(app, code, written),
    lost: () => codeLost(app),
  });
  app.reader = reader; // for whoever waits until a key is a key
  // A button that a finger pressed keeps the focus, but Enter is the foot line's: it would press the button once more.
  let pressed = null;
  addEventListener("focusin", (e) => { if (e.target !== pressed) pressed = null; });
  addEventListener("pointerdown", (e) => {
    pressed = e.target.closest?.("button") ?? null;
    app.stirred();
    if (!e.target.closest?.(".commit")) app.stopCount();
  });
  addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.repeat) return;
    if (e.key !== "Enter") app.stopCount();
    const field = e.target instanceof HTMLInputElement ? e.target : null;
    if (reader.take(e, field)) {
      e.preventDefault();
      app.stirred();
      return;
    }
    const button = e.target instanceof HTMLButtonElement && !e.target.classList.contains("commit");
    if (button && (e.key === " " || (e.key === "Enter" && e.target !== pressed))) app.stirred();
    else if (press(app, e.key, field)) e.preventDefault();
  });
}

// Whether the key meant anything there.
function press(app, key, field = null) {
  const run = keyOf(key, field);
  if (!run) return false;
  app.stirred();
  run(app);
  return true;
}

// In a field digits and letters write; else they choose. A foot switch never chooses, it only commits.
function keyOf(key, field) {
  if (key === "Enter") return (app) => app.commit();
  if (key === "Escape") return (app) => app.zero();
  if (key === "ArrowDown" || key === "+") return (app) => app.view.step?.(app, 1);
  if (key === "ArrowUp" || (key === "-" && !field)) return (app) => app.view.step?.(app, -1);
  if (field) return null;
  if (/^[1-9]$/.test(key)) return (app) => app.view.digit?.(app, Number(key));
  if (key === "0") return (app) => app.zero();
  if (key === "." || key === ",") return (app) => app.second();
  if (key === "/") return (app) => app.openFind?.(app);
  if (key === "*") return (app) => app.again();
  return null;
}
