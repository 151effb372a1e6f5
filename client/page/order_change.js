// order_change.js - an order changed later: whose it is and until when, and a coat of it that nobody has mixed yet. What
// may be changed is the daemon's to say.
import { el } from "./draw.js";
import { field, refuseField } from "./list.js";
import { coatName, coatOf, putOf } from "./order.js";
import { Panels } from "./panels.js";
import { dayTyped, plain, typed, word } from "./words.js";

// What they share: fields, the foot line that keeps, and the way back.
class Change {
  constructor(name, order, title, values) {
    Object.assign(this, { name, order, title, values, typed: true });
  }

  // The caret through all fields and buttons of the form.
  step(app, by) {
    const all = [...app.root.querySelectorAll(".field input, .panel")], i = all.indexOf(document.activeElement);
    all[(i + by + all.length) % all.length]?.focus();
  }

  changed(app) {
    app.draw();
  }

  sill(app) {
    const second = this.second(app);
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it"), second };
    return { kind: "key", text: word("page.keep_order", { order: this.order.order }), run: () => this.keep(app, this.put()), second };
  }

  second() {
    return null;
  }

  async keep(app, put) {
    if (await app.act({ method: "order.put", params: put })) app.back();
  }
}

// ---- whose it is ----

const HEAD = ["vehicle", "painter", "due", "card"];

class OrderHead extends Change {
  constructor(order) {
    super("orderform", order, word("page.order", { order: order.order }), Object.fromEntries(HEAD.map((name) => [name, order[name] ?? ""])));
  }

  get caret() {
    return "field-vehicle";
  }

  draw(app) {
    return { kind: "asking", body: [el("h1", {}, this.title), el("section", { class: "fields" },
      field(this, app, "vehicle", word("page.vehicle")),
      field(this, app, "painter", word("page.amount_painter")),
      field(this, app, "due", word("page.due_head"), { hint: word("page.due_form") }),
      field(this, app, "card", word("page.card_followed"), { hint: word("page.may_stay_empty") }))] };
  }

  refused(app, name, why) {
    return refuseField(this, app, name, why);
  }

  // An emptied field is left out of the put, and so is empty from then on.
  put() {
    const written = Object.fromEntries(HEAD.map((name) => [name, this.values[name].trim()]));
    if (written.due) written.due = dayTyped(written.due, true) || written.due;
    const put = putOf(this.order);
    for (const name of HEAD) delete put[name];
    return { ...put, ...Object.fromEntries(Object.entries(written).filter(([, value]) => value)) };
  }
}

// ---- one coat ----

// Numbers of a coat, with their labels. Where nothing is written the product's own hold.
const NUMBERS = [["grams", "page.amount_g"], ["mids", "page.mids"], ["film_um", "page.film"], ["transfer_pct", "page.transfer"],
  ["loss_ml", "page.loss"]];

class CoatForm extends Change {
  constructor(order, c) {
    const values = Object.fromEntries(NUMBERS.map(([name]) => [name, (c[name] ?? null) === null ? "" : plain(c[name])]));
    super("orderform", order, `${word("page.order", { order: order.order })}: ${coatName(c)}`, { ...values, variant: c.variant ?? "" });
    Object.assign(this, { coat: c, panels: new Panels(c.panels ?? []), control: Boolean(c.control_coat) });
  }

  get caret() {
    return "field-grams";
  }

  enter(app) {
    this.panels.read(app);
  }

  draw(app) {
    const toggle = () => { this.control = !this.control; app.draw(); };
    return { kind: "asking", body: [el("h1", {}, this.title),
      el("section", { class: "fields" },
        ...NUMBERS.filter(([name]) => name !== "mids" || this.coat.coat === "mid")
          .map(([name, label]) => field(this, app, name, word(label), { mode: "number" })),
        this.coat.formula && field(this, app, "variant", word("member.variant"), { hint: "standard" })),
      el("section", { class: "choices" }, el("button", { type: "button", class: `panel ${this.control ? "chosen" : ""}`,
        "aria-pressed": this.control, onclick: toggle }, word("page.control_coat"))),
      this.panels.draw(app)] };
  }

  digit(app, n) {
    app.root.querySelectorAll(".panels .panel")[n - 1]?.onclick();
  }

  // A refusal names a member of `coats`; it is shown at the field of that name.
  refused(app, name, why) {
    return refuseField(this, app, name.split(".").at(-1), why);
  }

  second(app) {
    return { text: word("page.coat_off"), run: () => this.keep(app, putOf(this.order, { coats: this.others().map(coatOf) })) };
  }

  others() {
    return this.order.coats.filter((c) => c !== this.coat);
  }

  // The coat with what is written now; that grams and panels go together nowhere is the daemon's to refuse.
  changedCoat() {
    const out = coatOf({ ...this.coat, panels: this.panels.chosen, control_coat: this.control || null });
    for (const [name] of NUMBERS) {
      const text = this.values[name].trim(), number = typed(text);
      if (text) out[name] = Number.isNaN(number) ? text : number;
      else delete out[name];
    }
    const variant = this.values.variant.trim();
    if (this.coat.formula && variant) out.variant = variant;
    return out;
  }

  put() {
    return putOf(this.order, { coats: this.order.coats.map((c) => (c === this.coat ? this.changedCoat() : coatOf(c))) });
  }
}

export const openOrderHead = (app, order) => app.open(new OrderHead(order));
export const openCoatForm = (app, order, coat) => app.open(new CoatForm(order, coat));
