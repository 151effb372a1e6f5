// kiosk.js - a screen that shows this page and nothing else (`poise kiosk`): keys and gestures by which a browser opens a
// window, a file or its tools do nothing. An application window hands all of them to its page first.
const EDITING = "acvxz"; // with Ctrl, in a field

// Whether a key is the browser's and not the page's.
function isBrowsers({ key, ctrlKey, altKey, metaKey, target }) {
  if (ctrlKey && !altKey && !metaKey && target instanceof HTMLInputElement && EDITING.includes(key.toLowerCase())) return false;
  return ctrlKey || altKey || metaKey || /^F\d+$|^Browser|^ContextMenu$|^Launch|^Zoom/.test(key);
}

export const inKiosk = () => sessionStorage.getItem("kiosk") !== null;

// Once said in the address it holds for the window, wherever the page goes in it.
export function bindKiosk() {
  if (new URLSearchParams(location.search).has("kiosk")) sessionStorage.setItem("kiosk", "yes");
  if (!inKiosk()) return;
  const stop = (e) => e.preventDefault();
  addEventListener("keydown", (e) => { if (isBrowsers(e)) stop(e); }, { capture: true });
  for (const kind of ["contextmenu", "dragover", "drop", "auxclick"]) addEventListener(kind, stop, { capture: true });
  addEventListener("wheel", (e) => { if (e.ctrlKey) stop(e); }, { capture: true, passive: false });
}
