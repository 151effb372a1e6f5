// sw.js - a tablet's page opened while poised does not answer: the browser itself could only say that nothing was found.
// It keeps the few files that say what is wrong, and nothing else: no page, no token, no state, so that nothing old is
// ever shown as if it were so.
const KEPT = "poise-away";
const SHELL = ["/page/away.html", "/page/away.js", "/page/draw.js", "/page/kiosk.js", "/page/words.js", "/page/style.css", "/words/en.json", "/words/de.json",
  "/icons/poise.svg"];

// Read anew each time: another version of poised may say it otherwise.
async function keepShell() {
  const kept = await caches.open(KEPT);
  await Promise.all(SHELL.map(async (path) => {
    const answer = await fetch(path, { cache: "no-store" });
    if (answer.ok) await kept.put(path, answer);
  }));
}

// What poised answers goes through untouched; only silence is answered here.
async function page(event) {
  try {
    const answer = await fetch(event.request);
    event.waitUntil(keepShell().catch(() => {}));
    return answer;
  } catch (e) {
    return (await caches.match("/page/away.html", { cacheName: KEPT })) ?? Response.error();
  }
}

const file = (request, path) => fetch(request).catch(async (e) => {
  const kept = await caches.match(path, { cacheName: KEPT });
  if (kept) return kept;
  throw e;
});

self.addEventListener("install", (event) => event.waitUntil(keepShell().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.mode === "navigate") event.respondWith(page(event));
  else if (event.request.method === "GET" && SHELL.includes(pathname)) event.respondWith(file(event.request, pathname));
});
