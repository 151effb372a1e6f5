// leftover.js - what is left in a cup: in words, weighed back with one move, and offered before anything is mixed anew.
// It must not know where else cups are shown.
import { el } from "./draw.js";
import { fillWeight } from "./figures.js";
import { field, refuseField } from "./list.js";
import { call } from "./link.js";
import { day, grams, hour, typed, word } from "./words.js";

const CUPS = 100; // of a colour

// ---- a cup in words ----

export const leftOf = (c) => `${grams(c.left_g ?? c.total_g)} g`;
const yearOf = (time) => (time.slice(0, 4) === String(new Date().getFullYear()) ? "" : ` ${time.slice(0, 4)}`);
export const useBy = (c) => (c.use_by ? word("page.use_by_day", { day: day(c.use_by) + yearOf(c.use_by),
  hour: c.activated ? hour(c.use_by) : "" }).trim() : "");
export const whyText = (c) => (c.why ? word(`page.why.${c.why}`) : "");
export const cupName = (c) => [c.formula, c.name].filter(Boolean).join(" ");
export const cupDetail = (c) => [word("page.batch", { batch: c.batch }), c.coat && word(`coat.${c.coat}`), c.variant !== "standard" && c.variant,
  c.order && word("page.order", { order: c.order }), useBy(c)].filter(Boolean).join(", ");

// ---- weighed back: the cup on the scale, one move ----

export class WeighBack {
  // order: what was taken out of the cup is a touch-up of it.
  constructor(cup, order = "") {
    Object.assign(this, { name: "weighback", cup, values: order ? { order } : {}, typed: true, bare: false, tare: false });
  }

  draw(app) {
    return { kind: "checking", body: [
      el("h1", {}, word("page.weigh_back_cup", { batch: this.cup.batch })),
      el("p", { class: "who" }, [cupName(this.cup), this.cup.place && word("page.stands", { place: this.cup.place })].filter(Boolean).join(", ")),
      el("section", { class: "open" }, el("div", { class: "main" }, el("div", { class: "number", "data-live": "" }),
        el("div", { class: "unit" }, el("span", {}, "g")))),
      el("section", { class: "fields" }, field(this, app, "order", word("page.touch_up_of"), { hint: word("page.may_stay_empty") }),
        this.tare && field(this, app, "cup_tare_g", word("page.empty_cup_g"), { mode: "number" }))] };
  }

  live(app) {
    fillWeight(app, app.root.querySelector(".number"), 2);
    if (this.shown !== this.stands(app)) {
      this.shown = this.stands(app);
      app.draw();
    }
  }

  // What the scale shows, once it stands; null: nothing is on it that could be a cup.
  stands(app) {
    const w = app.weight;
    return app.fresh && w.settled && w.weight_g >= 1 ? w.weight_g : null;
  }

  refused(app, name, why) {
    if (name === "cup_tare_g" && !this.tare) {
      this.tare = true;
      app.draw();
    }
    return refuseField(this, app, name, why);
  }

  sill(app) {
    const gross_g = this.stands(app);
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it") };
    if (gross_g === null) return { kind: "hand", text: word("page.put_cup_on", { batch: this.cup.batch }) };
    return { kind: "key", text: word("page.weighs", { gross_g }), run: () => this.take(app, gross_g) };
  }

  async take(app, gross_g) {
    const order = (this.values.order ?? "").trim(), tare = (this.values.cup_tare_g ?? "").trim();
    const r = await app.act({ method: "batch.weigh_back", params: { batch: this.cup.batch, gross_g, ...(order ? { order } : {}),
      ...(tare ? { cup_tare_g: typed(tare) } : {}) } });
    if (r) leave(app, word("page.weighed_back", { left_g: r.left_g, used_g: r.used_g }));
  }
}

// Back to where it was asked for, with what became of it.
export function leave(app, text) {
  app.back();
  app.note = text;
  app.draw();
}

// ---- offered before anything is mixed anew ----

// Cups of just this colour that can be poured from; what: as the amount page has it.
export async function cupsOf(what) {
  if (!what.formula) return [];
  const answer = await call("shelf.list", { formula: what.formula, limit: CUPS }).catch(() => null);
  return (answer?.cups ?? []).filter((c) => c.coat === what.coat && c.variant === what.variant && !c.why && c.left_g !== 0);
}

// A line each on the amount page: pour from the cup, then weigh it back.
export const offerCups = (app, cups, order) => cups.map((c) => el("button", { type: "button", class: "pick",
  onclick: () => app.open(new WeighBack(c, order)) },
  el("b", {}, word("page.take_from", { batch: c.batch })), el("span", { class: "who" }, [c.left_g === null && word("page.never_weighed"), c.place && word("page.stands", { place: c.place }),
    useBy(c)].filter(Boolean).join(", ")), el("span", { class: "gap" }), el("b", {}, leftOf(c))));
