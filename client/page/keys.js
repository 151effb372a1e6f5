// keys.js - number pad, foot switch and keyboard to moves of the page. A foot switch is an Enter; a bar-code reader
// types a code and an Enter.

// In a field digits and letters write; else they choose.
export function bindKeys(app) {
  addEventListener("pointerdown", (e) => { app.pressedAt = e.timeStamp; }, true);
  addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.repeat) return;
    const field = e.target instanceof HTMLInputElement;
    const button = e.target instanceof HTMLButtonElement;
    const run = keyOf(e.key, field);
    if (!run || (e.key === "Enter" && button && !e.target.classList.contains("commit"))) return;
    e.preventDefault();
    app.key?.(e.key);
    run(app);
  });
}

function keyOf(key, field) {
  if (key === "Enter") return (app) => app.commit();
  if (key === "Escape") return (app) => app.zero();
  if (key === "ArrowDown" || (key === "+" )) return (app) => app.view.step?.(app, 1);
  if (key === "ArrowUp" || (key === "-" && !field)) return (app) => app.view.step?.(app, -1);
  if (field) return null;
  if (/^[1-9]$/.test(key)) return (app) => app.view.digit?.(app, Number(key));
  if (key === "0") return (app) => app.zero();
  if (key === "." || key === ",") return (app) => app.second();
  if (key === "/") return (app) => app.openFind?.(app);
  if (key === "*") return (app) => app.again?.();
  return null;
}
