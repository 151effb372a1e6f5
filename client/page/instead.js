// instead.js - what may be poured in place of a toner whose tin is empty: toner.substitute in words. The painter decides.
import { call } from "./link.js";
import { said, word } from "./words.js";

const MOST = 3; // the nearest come first

// Of the open step, as {value, text} to choose from; [] where nothing fits.
export async function insteadOf({ now }) {
  if (!now?.toner) return [];
  const answer = await call("toner.substitute", { toner: now.toner, ...(now.to_go_g > 0 ? { grams: now.to_go_g } : {}) }).catch(() => null);
  return (answer?.with ?? []).map((w) => ({ value: w.toner, text: said(w.why) }));
}

// The tin is empty: said above the foot line until the next key.
export async function tellInstead(app) {
  const { now, revision } = app.screen, list = await insteadOf(app.screen);
  if (!list.length || app.screen.revision !== revision) return;
  app.note = word("page.instead", { toner: now.toner, with: list.slice(0, MOST).map((w) => `${w.value} (${w.text})`).join(", ") });
  app.draw();
}
