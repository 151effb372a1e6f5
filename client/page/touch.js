// touch.js - a wet glove drips, rests and slides. A touch counts when the finger leaves the button that it went down on,
// after 60 to 1500 ms. The browser's own click would miss a long one, so touches are told apart here; mouse and keyboard
// click as ever.

const SHORTEST_MS = 60, LONGEST_MS = 1500;

export function bindTouch() {
  const down = new Map(); // pointer -> {button, at}
  const buttonAt = (e) => document.elementFromPoint(e.clientX, e.clientY)?.closest("button") ?? null;
  addEventListener("pointerdown", (e) => {
    if (e.pointerType === "touch") down.set(e.pointerId, { button: e.target.closest?.("button") ?? null, at: e.timeStamp });
  }, true);
  addEventListener("pointercancel", (e) => down.delete(e.pointerId), true);
  addEventListener("pointerup", (e) => {
    const { button, at } = down.get(e.pointerId) ?? {};
    down.delete(e.pointerId);
    const held = e.timeStamp - at;
    if (button && button.isConnected && button === buttonAt(e) && held >= SHORTEST_MS && held <= LONGEST_MS) button.onclick?.(e);
  }, true);
  addEventListener("click", (e) => {
    if (e.pointerType !== "touch" || !e.target.closest?.("button")) return;
    e.preventDefault();
    e.stopImmediatePropagation();
  }, true);
  // A long press would end the touch with a menu of the browser's.
  addEventListener("contextmenu", (e) => { if (!(e.target instanceof HTMLInputElement)) e.preventDefault(); }, true);
}
