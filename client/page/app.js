// app.js - what the page knows (model), which view is open, and the foot line that commits. A view is a function of the
// model; nothing here weighs, orders, judges or refuses: the daemon's screen says all of it.
import { act, call, Refused } from "./link.js";
import { el } from "./draw.js";
import { said, word, helpOf, hour } from "./words.js";

const cueWords = { pour: "cue.pour", ease: "cue.ease", stop: "cue.stop", ok: "page.on_aim", over: "page.cue_over" };
const STAND_MS = 400; // a page must have stood so long before an Enter commits on it
const FRESH_MS = 500; // older weights are not shown as live

export class App {
  constructor(root, station, info) {
    Object.assign(this, { root, station, info, views: [], screen: null, weight: null, seenAt: -Infinity, lost: false });
    this.flight = null; // the act that waits for its answer
    this.note = ""; // the last refusal or notice, said above the foot line until the next key
    this.stoodSince = 0;
    this.pageKey = "";
    this.heard = []; // told of each weight and screen: sound
  }

  get view() {
    return this.views[this.views.length - 1];
  }

  // ---- views: the bench is always the lowest ----
  open(view) {
    this.note = "";
    this.views.push(view);
    view.enter?.(this);
    this.draw();
  }

  back() {
    if (this.views.length > 1) this.views.pop();
    this.note = "";
    this.draw();
  }

  home() {
    this.views.length = 1;
    this.note = "";
    this.draw();
  }

  // ---- notes of the daemon ----
  takeScreen(screen) {
    const before = this.screen;
    this.screen = screen;
    if (before && screen.revision !== before.revision) this.note = "";
    this.tell("screen", before);
    if (this.view.follows !== false || this.view === this.views[0]) this.draw();
    else this.drawHead();
  }

  takeWeight(weight) {
    const before = this.weight;
    this.weight = weight;
    this.seenAt = performance.now();
    this.goHomeIfPouring(before);
    this.tell("weight", before);
    this.drawLive();
  }

  // A page with nothing typed gives way to the pour: whoever pours looks at the weight.
  goHomeIfPouring(before) {
    const tolerance = this.screen?.now?.tolerance_g;
    if (this.views.length === 1 || this.view.typed || !(tolerance > 0) || !before) return;
    this.stoodAt ??= before.weight_g;
    if (Math.abs(this.weight.weight_g - this.stoodAt) <= tolerance) return;
    this.home();
  }

  tell(what, before) {
    for (const listener of this.heard) listener(what, before, this);
  }

  get fresh() {
    return !this.lost && performance.now() - this.seenAt < FRESH_MS && this.weight?.state === "live";
  }

  // ---- acts ----
  // Sends one; the screen that comes back is the next one. What was refused is shown above the foot line.
  async act(what, more = {}) {
    if (this.flight || !what) return null;
    this.flight = what;
    this.note = "";
    const slow = setTimeout(() => this.draw(), 250); // the foot line says that no answer came yet
    try {
      const result = await act(what, more);
      if (result?.state && result.station === this.station) this.screen = result;
      return result;
    } catch (e) {
      this.refuse(e);
      return null;
    } finally {
      clearTimeout(slow);
      this.flight = null;
      this.draw();
    }
  }

  // Reading calls; null where refused, with the reason said.
  async ask(method, params) {
    try {
      return await call(method, params);
    } catch (e) {
      this.refuse(e);
      this.draw();
      return null;
    }
  }

  refuse(e) {
    if (!(e instanceof Refused)) {
      this.note = word("page.lost");
      return;
    }
    const { code, data } = e.error;
    const s = data?.code ? { code: data.code, args: data.args ?? {} } : null;
    this.note = code === -32003 ? word("already_moved_on") : s ? `${said(s)}. ${helpOf(s)}` : `${e.error.message}. ${data?.help ?? ""}`;
    this.fault = e.error;
    this.tell("refused", null);
  }

  // ---- the foot line ----
  // {kind: "hand"|"key"|"wait", text, run, second: {text, run}}
  get sill() {
    if (this.flight && !this.view.quiet) return { kind: "wait", text: word("footline.sent") };
    if (this.lost) return { kind: "wait", text: word("footline.lost") };
    return this.view.sill(this);
  }

  // Enter, the foot switch, or a touch on the foot line.
  commit() {
    const sill = this.sill;
    if (sill.kind !== "key" || !sill.run) {
      this.tell("refused", null);
      this.note = sill.why ?? sill.text;
      this.draw();
      return;
    }
    const stood = performance.now() - this.stoodSince;
    if (stood >= STAND_MS) {
      sill.run();
      return;
    }
    const key = this.pageKey;
    this.waiting = true;
    this.draw();
    setTimeout(() => {
      this.waiting = false;
      if (this.pageKey === key && this.sill.kind === "key") this.sill.run();
      else this.note = word("page.early");
      this.draw();
    }, STAND_MS - stood);
  }

  second() {
    this.sill.second?.run?.();
  }

  // ---- drawing ----
  draw() {
    const parts = this.view.draw(this);
    const key = `${this.views.length}/${this.view.name}/${this.view.key?.(this) ?? ""}`;
    if (key !== this.pageKey) {
      this.pageKey = key;
      this.stoodSince = performance.now();
      this.stoodAt = this.weight?.weight_g;
    }
    const held = document.activeElement?.id;
    this.root.className = `page view-${this.view.name} ${parts.kind ?? ""}`;
    this.root.replaceChildren(this.head(), el("main", {}, ...parts.body), this.foot(), this.sillElement());
    if (held) document.getElementById(held)?.focus();
    this.drawLive();
  }

  drawHead() {
    this.root.querySelector("header")?.replaceWith(this.head());
  }

  drawLive() {
    this.view.live?.(this);
    this.root.classList.toggle("dead", !this.fresh);
    const minute = this.screen?.pot_life ? Math.floor(performance.now() / 1000) : 0;
    const shown = `${this.fresh}/${this.weight?.state}/${this.lost}/${minute}`;
    if (this.views.length > 1 || shown !== this.headShown) this.drawHead();
    this.headShown = shown;
  }

  head() {
    const s = this.screen;
    const scale = this.lost ? "page.scale_lost" : `page.scale_${this.fresh ? "live" : this.weight?.state === "live" ? "stale" : (s?.scale?.state ?? "absent")}`;
    const left = s?.batch
      ? [el("b", {}, `${s.formula} ${s.name ?? ""}`), s.coat && el("span", {}, word(`coat.${s.coat}`)), s.variant && el("span", {}, s.variant),
         s.order && el("span", {}, word("page.order", { order: s.order })), s.painter && el("span", {}, s.painter)]
      : [el("b", {}, this.info.shop || "Poise")];
    const pour = this.views.length > 1 && s?.now ? el("span", { class: "pouring" }, this.pourInHead()) : null;
    const life = s?.pot_life && el("span", { class: s.pot_life.left_s > 900 ? "life" : "life over" }, this.potLife());
    return el("header", {}, ...left, el("span", { class: "gap" }), pour, life,
      el("span", { class: "bench" }, this.station, " ", el("b", { class: this.fresh ? "" : "over" }, word(scale))));
  }

  pourInHead() {
    const { now } = this.screen, w = this.weight;
    const cue = w?.cue ? word(cueWords[w.cue]) : "";
    return `${cue} ${now.toner ?? now.name ?? ""} ${this.gramsToGo(w)}`;
  }

  // Counted down from what the daemon said last.
  potLife() {
    const { left_s } = this.screen.pot_life;
    const left = left_s - (performance.now() - (this.screenAt ?? performance.now())) / 1000;
    return left > 0 ? word("page.pot_life", { left_min: Math.floor(left / 60) }) : word("page.pot_life_over");
  }

  gramsToGo(w) {
    return w?.to_go_g === null || w?.to_go_g === undefined ? "" : `${this.g(Math.abs(w.to_go_g))} ${word(w.to_go_g < 0 ? "page.g_past" : "page.g_to_go")}`;
  }

  // What the station says, the refusal of the last key, and cautions: gravest first.
  foot() {
    const s = this.screen, cautions = this.view.bare ? [] : (s?.cautions ?? []);
    const trouble = s?.trouble;
    return el("div", { class: "foot" },
      ...cautions.slice(0, 2).map((c) => el("p", { class: "caution" }, said(c))),
      trouble && el("p", { class: "caution" }, `${said(trouble.said)}. ${said(trouble.mend)}`),
      this.note ? el("p", { class: "caution", role: "alert" }, this.note)
        : !this.view.bare && s?.said && el("p", { role: "status" }, said(s.said)));
  }

  sillElement() {
    const { kind, text, second } = this.sill;
    const key = kind === "key" ? "Enter" : word(kind === "hand" ? "key.hand" : "key.wait").replace(/[[\]]/g, "");
    const waits = this.waiting ? " waits" : "";
    return el("footer", { class: `sill ${kind}${waits}` },
      el("button", { class: "commit", type: "button", "aria-disabled": kind !== "key", onclick: (e) => this.touched(e, () => this.commit()) },
        el("span", { class: "keycap" }, key), el("span", { class: "says" }, text)),
      second && el("button", { class: "second", type: "button", onclick: (e) => this.touched(e, () => this.second()) }, `. ${second.text}`),
      el("button", { class: "menu", type: "button", onclick: (e) => this.touched(e, () => this.zero()) },
        this.views.length > 1 ? word("key.back") : word("key.menu")));
  }

  // A wet glove: a touch counts on release, inside the target, held 60 to 1500 ms. A keyboard's press has no pointer.
  touched(event, run) {
    const held = event.timeStamp - (this.pressedAt ?? -Infinity);
    if (event.pointerType === "touch" && (held < 60 || held > 1500)) return;
    run();
  }

  zero() {
    if (this.views.length > 1) this.back();
    else this.openMenu?.(this);
  }

  hour(time) {
    return hour(time);
  }
}
