// link.js - the way to the daemon: calls by POST /rpc, notes by server-sent events. It comes back by itself, and a move
// that had no answer is sent again with the same request, so that it is done once.

const AGAIN_MS = 2000;

let token = document.querySelector("meta[name=poise-token]")?.content ?? "";

// Another start of the daemon has another token; the page itself need not be loaded anew for it.
export async function readToken() {
  const page = await (await fetch("/", { cache: "no-store" })).text();
  token = /name="poise-token" content="([0-9a-f]*)"/.exec(page)?.[1] ?? "";
  if (!token) await enter(null);
}

// A token of the shop's file for this start's; null: this browser has the cookie already. False: not known here.
export async function enter(typed) {
  const answer = await fetch("/enter", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(typed === null ? {} : { token: typed }),
  });
  if (!answer.ok) return false;
  token = (await answer.json()).token;
  return true;
}

export const hasToken = () => token !== "";

// Unique for ever: time first, so that the store's index stays in order; then random.
const newRequest = () =>
  Date.now().toString(36) + [...crypto.getRandomValues(new Uint8Array(10))].map((b) => b.toString(16).padStart(2, "0")).join("");

// The daemon's own refusal: {code, message, data}.
export class Refused extends Error {
  constructor(error) {
    super(error.message);
    this.error = error;
  }
}

let nextId = 1;

// One call; its result. Throws Refused, or what fetch throws where nobody answers.
export async function call(method, params = {}) {
  const answer = await fetch("/rpc", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Poise-Token": token },
    body: JSON.stringify({ jsonrpc: "2.0", id: nextId++, method, params }),
  });
  if (!(answer.headers.get("Content-Type") ?? "").includes("json")) throw new Error(`${answer.status}`);
  const { result, error } = await answer.json();
  if (error) throw new Refused(error);
  return result;
}

const wait = (ms) => new Promise((done) => setTimeout(done, ms));

// An act of the daemon with what a person added. Goes on trying while nobody answers: an unknown outcome is no outcome.
export async function act({ method, params }, more = {}, onTry = () => {}) {
  const whole = { ...params, ...more, request: newRequest() };
  for (;;) {
    try {
      return await call(method, whole);
    } catch (e) {
      if (e instanceof Refused && e.error.data?.code !== "no_token") throw e;
      onTry();
      await wait(e instanceof Refused ? 100 : AGAIN_MS);
      await readToken().catch(() => {});
    }
  }
}

// Notes of a station (null: of all) to `on`: screen(s), weight(w), scale(s), lost(), back().
export function listen(station, on) {
  const open = () => {
    const source = new EventSource(station ? `/events?station=${encodeURIComponent(station)}` : "/events");
    for (const name of ["screen", "weight", "scale"]) source.addEventListener(name, (e) => on[name]?.(JSON.parse(e.data)));
    source.onopen = () => on.back?.();
    source.onerror = async () => {
      source.close();
      on.lost?.();
      await wait(AGAIN_MS);
      await readToken().catch(() => {});
      open();
    };
  };
  open();
}
