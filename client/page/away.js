// away.js - the page that stands in for the bench while poised does not answer (sw.js): where it was asked, what to do,
// and that it is tried again. It must not show anything of a batch.
import { el } from "./draw.js";
import { bindKiosk } from "./kiosk.js";
import { loadWords, word } from "./words.js";

const AGAIN_MS = 2000;

bindKiosk();

// As settings.js keeps them: the paper of this screen, and the language that it spoke last.
const kept = JSON.parse(localStorage.getItem("poise") ?? "{}");
if (kept.paper === "night") document.documentElement.dataset.paper = "night";

await loadWords(localStorage.getItem("poise-language") ?? navigator.language.slice(0, 2));
document.body.replaceChildren(el("main", { class: "alone away", role: "alert" },
  el("h1", {}, word("page.away", { address: location.host })),
  el("p", {}, word("page.away_fix")),
  el("p", {}, word("page.away_kept")),
  el("p", { class: "who" }, word("page.away_again"))));

// Any answer of its own will do: then the page that was asked for is loaded as if it were opened now.
async function again() {
  try {
    if ((await fetch("/healthz", { cache: "no-store" })).headers.has("content-type")) location.reload();
  } catch { /* still away */ }
}
setInterval(again, AGAIN_MS);
