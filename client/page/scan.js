// scan.js - a bar-code reader is a keyboard that types faster than a hand can and ends with Enter. What it types is a
// code and never a key of the bench: its digits choose nothing, its Enter accepts nothing. The daemon says what the code
// is and which call it is for.
import { openOrder } from "./job.js";
import { Refused, call } from "./link.js";
import { openRecord } from "./record.js";
import { helpOf, said, word } from "./words.js";

const FAST_MS = 35; // a hand is slower between two keys
const HELD_MS = 80; // so long a key waits for the next: a busy machine hands on late what was typed in time
const LEAST = 4; // characters of a code
const FIGURE = /^[\d.,]{1,7}$/; // in a field an amount, however fast it was typed

// Tells a reader's keys from a hand's. Keys that no field takes are held back until it is sure whose they are; in a
// field they are written at once, and taken out again.
export class Reader {
  // play(keys): held keys of a hand after all; unplay(): it was none; scanned(code, field); lost(): a code without an Enter.
  constructor({ play, unplay, scanned, lost }) {
    Object.assign(this, { play, unplay, scanned, lost, held: [], played: [], last: -Infinity, before: null });
  }

  // Takes a key, or says that it is not the reader's business.
  take(e, field) {
    const fast = e.timeStamp - this.last < FAST_MS;
    if (fast) this.recover(field);
    else this.let();
    if (e.key === "Enter") return this.enter(fast, field);
    if (e.key.length !== 1) {
      this.let();
      return false;
    }
    if (!this.held.length && !field && (e.key === "/" || e.key === " ")) return false; // no code begins with these
    if (!this.held.length) this.before = field && { value: field.value, at: field.selectionStart };
    this.held.push(e.key);
    this.last = e.timeStamp;
    clearTimeout(this.timer);
    // Once more round the loop: keys that wait behind a busy page come first.
    this.timer = setTimeout(() => setTimeout(() => this.let()), HELD_MS);
    return !field;
  }

  // A loaded machine may hand on a key so late that the one before was played as a hand's. By the times they bear both
  // are of one code, so what was played is taken back.
  recover(field) {
    if (!this.played.length || this.held.length || field) return;
    this.held = this.played;
    this.played = [];
    this.unplay();
  }

  // No hand is so fast between two keys: an Enter that follows one at once commits nothing, though its code be short.
  enter(fast, field) {
    const code = this.held.join("");
    if (!fast || (field && (code.length < LEAST || FIGURE.test(code)))) {
      this.let();
      this.played = [];
      return false;
    }
    clearTimeout(this.timer);
    this.held = [];
    if (code.length < LEAST) this.lost();
    else this.scanned(code, field && this.before && { field, ...this.before });
    return true;
  }

  // It was a hand. So many keys at once are none: a reader that sends no Enter must not choose remedies.
  let() {
    clearTimeout(this.timer);
    const keys = this.held;
    this.held = [];
    this.played = [];
    if (this.before || !keys.length) return; // a field has them
    if (keys.length >= LEAST) this.lost();
    else this.play(keys);
    this.played = keys;
  }
}

// What the field held before the reader wrote into it.
function takeBack({ field, value, at }) {
  field.value = value;
  field.setSelectionRange?.(at, at);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

// Another tin, or another cup of the shelf, than the open step asks for.
function stop(app, what) {
  app.wrong = what.said;
  app.note = `${said(what.said)}. ${helpOf(what.said)}`;
  app.sound?.play("over");
}

async function tin(app, what) {
  if (!what.act) {
    app.note = said(what.said);
  } else if (await app.act(what.act)) {
    app.sound?.play("ok");
  }
  app.draw();
}

// A code that nothing has: in a field it stays as written, and the Enter behind it is the field's own.
function unknown(app, e, written) {
  if (written && e instanceof Refused) {
    app.commit();
    return;
  }
  app.refuse(e);
  app.draw();
}

export async function scanned(app, code, written) {
  app.wrong = null;
  let what;
  try {
    what = await call("scan", { code, station: app.station });
  } catch (e) {
    unknown(app, e, written);
    return;
  }
  if (written) takeBack(written);
  if (["wrong_tin", "wrong_cup"].includes(what.said.code)) stop(app, what);
  else if (what.kind === "tin") await tin(app, what);
  else if (what.said.code === "cup_right") app.note = said(what.said);
  else if (app.screen.practice && ["cup", "order"].includes(what.kind)) app.note = said(what.said); // its page would change the shop
  else if (what.kind === "cup") openRecord(app, what.batch);
  else if (what.kind === "order") openOrder(app, what.order);
  else if (what.act) await app.act(what.act);
  else app.note = said(what.said);
  app.draw();
}

export function codeLost(app) {
  app.note = word("page.scan_lost");
  app.tell("refused", null);
  app.draw();
}
