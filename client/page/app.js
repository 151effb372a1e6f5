// app.js - what the page knows (model), which view is open, and the foot line that commits. A view is a function of the
// model; nothing here weighs, orders, judges or refuses: the daemon's screen says all of it.
import { act, call, Refused } from "./link.js";
import { becomeAll, el } from "./draw.js";
import { foot, head, sillLine } from "./frame.js";
import { drawPad } from "./pad.js";
import { said, word, helpOf } from "./words.js";

const STAND_MS = 400; // a page must have stood so long before an Enter commits on it
const FRESH_MS = 500; // older weights are not shown as live
const SILENT_MS = 1000; // older ones are no weight at all
const SLOW_MS = 250; // an answer that takes longer is waited for in words
const OPENING_MS = 180; // how long the next line takes to open
const STOOD_MS = 500; // a weight that has stood so long was no passing one
const STIR_G = 1; // a change of the weight that somebody made

const OF_A_FIELD = [-32005, -32602], MOVED_ON = -32003;

export class App {
  constructor(root, station, info) {
    Object.assign(this, { root, station, info, views: [], screen: null, weight: null, seenAt: -Infinity, lost: false });
    this.flight = null; // the act that waits for its answer
    this.wrong = null; // a wrong tin that was scanned: said until the next key, screen or code
    this.note = ""; // the last refusal or notice, said above the foot line until the next key
    this.noteStays = false; // also when the screen moves on
    this.fault = null; // the last refusal as it came
    this.stoodSince = 0;
    this.pageKey = "";
    this.stirredAt = performance.now(); // the last key, touch or change of weight
    this.heard = []; // told of each weight and screen: sound
  }

  get view() {
    return this.views[this.views.length - 1];
  }

  // Any key or touch but the accept itself: the station shall not accept by itself.
  stopCount() {
    if (this.screen?.next?.in_s) this.ask("batch.wait", { station: this.station });
  }

  // ---- views: the bench is always the lowest ----
  open(view) {
    this.note = "";
    this.views.push(view);
    view.enter?.(this);
    view.read?.(this);
    this.draw();
    if (view.caret) document.getElementById(view.caret)?.focus(); // at once: a key that follows shall not miss the field
  }

  back() {
    if (this.views.length > 1) this.views.pop();
    this.note = "";
    this.view.read?.(this); // what was done above it may have changed what it lists
    this.draw();
  }

  home() {
    this.views.length = 1;
    this.note = "";
    this.view.read?.(this);
    this.draw();
  }

  // ---- notes of the daemon ----
  takeScreen(screen) {
    const before = this.screen;
    this.screen = screen;
    this.screenAt = performance.now();
    this.stirredAt = performance.now();
    if (before && screen.revision !== before.revision && !this.noteStays) Object.assign(this, { note: "", wrong: null });
    if (before?.state !== screen.state) Object.assign(this, { choice: null, answered: false, picked: null, copies: 1, here: null });
    if (screen.state === "idle" && before?.state !== "idle") this.becameIdle?.(before);
    if (screen.said?.code === "short_counted" && before && before.revision !== screen.revision) this.ranEmpty?.();
    if (screen.state === "done" && before?.state !== "done") this.becameDone?.();
    if (before && before.settings !== screen.settings) this.settingsChanged?.();
    this.tell("screen", before);
    this.draw();
  }

  takeWeight(weight) {
    const before = this.weight;
    this.weight = weight;
    this.seenAt = performance.now() - (weight.age_ms ?? 0);
    if (weight.weight_g !== null && Math.abs(weight.weight_g - (this.stirredG ?? Infinity)) > STIR_G) {
      this.stirredG = weight.weight_g;
      this.stirredAt = performance.now();
    }
    this.seeStanding(weight);
    this.goHomeIfPouring(before);
    this.tell("weight", before);
    this.drawLive();
  }

  // What stood on the scale with its cup: the weight comes before the screen that says that the cup is off, so one counts
  // only once it has stood.
  seeStanding({ settled, weight_g }) {
    const now = performance.now();
    if (this.screen.lifted || !settled || weight_g === null) return;
    if (Math.abs(weight_g - (this.standing?.weight_g ?? Infinity)) > STIR_G) this.standing = { weight_g, at: now };
    else if (now - this.standing.at > STOOD_MS) this.lastStanding = weight_g;
  }

  // A page with nothing typed gives way to the pour: whoever pours looks at the weight.
  goHomeIfPouring(before) {
    const tolerance = this.screen?.now?.tolerance_g, { weight_g } = this.weight;
    if (this.views.length === 1 || this.view.typed || !(tolerance > 0) || !before || weight_g === null) return;
    this.stoodAt ??= before.weight_g;
    if (this.stoodAt === null || Math.abs(weight_g - this.stoodAt) <= tolerance) return;
    this.home();
  }

  tell(what, before) {
    for (const listener of this.heard) listener(what, before, this);
  }

  // Whether what is known of the weight may be shown as live, and whether it is none at all.
  get fresh() {
    return !this.lost && performance.now() - this.seenAt < FRESH_MS && this.weight?.state === "live";
  }

  // A scale that says over, under or error speaks, though it says no weight: that is no silence.
  get limited() {
    return !this.lost && this.weight?.state === "live" && this.weight.weight_g === null && Boolean(this.screen?.trouble?.code.startsWith("scale_"));
  }

  get silent() {
    return !this.limited && this.isSilent;
  }

  get isSilent() {
    return this.lost || performance.now() - this.seenAt > SILENT_MS || this.weight?.state !== "live";
  }

  // ---- acts ----
  // Sends one; the screen that comes back is the next one. What was refused is shown above the foot line.
  async act(what, more = {}) {
    if (this.flight || !what) return null;
    this.flight = what;
    this.note = "";
    const slow = setTimeout(() => this.draw(), SLOW_MS); // the foot line says that no answer came yet
    try {
      const result = await act(what, more);
      if (result?.state && result.station === this.station && result.revision >= (this.screen?.revision ?? 0)) this.takeScreen(result);
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
    this.fault = e.error;
    this.noteStays = code === MOVED_ON;
    this.note = code === MOVED_ON ? word("page.moved_on") : s ? `${said(s)}. ${helpOf(s)}` : `${e.error.message}. ${data?.help ?? ""}`;
    if (OF_A_FIELD.includes(code) && this.view.refused?.(this, data?.field ?? "", this.note)) this.note = "";
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

  zero() {
    if (this.views.length > 1) this.back();
    else this.openMenu?.(this);
  }

  // Somebody is there: what blinks and rings is answered, the last note was read, a dim page is lit.
  stirred() {
    const shown = this.note || !this.answered;
    Object.assign(this, { note: "", wrong: null, noteStays: false, answered: true, stirredAt: performance.now() });
    this.sound?.quiet();
    if (shown) this.draw();
  }

  // `*`: the cue once more, to the ear and to the reader's voice.
  again() {
    this.sound?.again(this);
    const cue = this.root.querySelector(".cue span")?.textContent ?? "";
    this.speak([cue, this.sill.text].filter(Boolean).join(". "));
  }

  // To whoever listens to the page instead of looking at it.
  speak(text) {
    if (!this.voice) return;
    this.voice.textContent = "";
    requestAnimationFrame(() => { this.voice.textContent = text; });
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
    this.root.className = `page view-${this.view.name} ${parts.kind ?? ""}`;
    if (this.view !== this.views[0]) delete this.root.dataset.cue;
    becomeAll(this.root, [head(this), el("main", {}, ...parts.body), drawPad(this, parts.body), foot(this), sillLine(this)].filter(Boolean));
    this.showChosen();
    this.animateOpening();
    this.drawLive();
  }

  // The chosen line is on the page when it becomes it, as the foot line speaks of it; a hand may scroll on from there.
  showChosen() {
    const chosen = this.root.querySelector(".rows .pick.chosen"), at = chosen && `${this.pageKey}/${this.view.chosen}`;
    if (at && at !== this.chosenAt) chosen.scrollIntoView({ block: "nearest" });
    this.chosenAt = at;
  }

  // The next line opens: a moment of movement tells that the page is another one.
  animateOpening() {
    const open = this.root.querySelector(".open[data-of]"), of = open?.dataset.of ?? "";
    if (of && this.openOf && of !== this.openOf && !matchMedia("(prefers-reduced-motion: reduce)").matches)
      open.animate([{ clipPath: "inset(0 0 70% 0)" }, { clipPath: "inset(0)" }], OPENING_MS);
    this.openOf = of || this.openOf;
  }

  drawHead() {
    const old = this.root.querySelector("header");
    if (old) becomeAll(old, [...head(this).childNodes]);
  }

  drawLive() {
    this.view.live?.(this);
    this.root.classList.toggle("dead", !this.fresh);
    const second = this.screen?.pot_life ? Math.floor(performance.now() / 1000) : 0;
    const shown = `${this.fresh}/${this.silent}/${this.weight?.state}/${this.lost}/${second}`;
    if (this.views.length > 1 || shown !== this.headShown) this.drawHead();
    this.headShown = shown;
    this.sound?.watch(this);
  }
}
