// order_form.js - an order is put in: its number, its vehicle, whose it is, and its coats by colour, panels or grams.
// The same page adds coats to an order that is there.
import { el } from "./draw.js";
import { field, refuseField } from "./list.js";
import { Panels } from "./panels.js";
import { call } from "./link.js";
import { coatName, putOf } from "./order.js";
import { dayTyped, typed, word } from "./words.js";

const SETTLE_MS = 150; // after the last letter
const SPRAYED = ["sealer", "primer", "ground", "base", "mid", "single", "clear"]; // coats in the order that they are sprayed
const COLOUR = "colour"; // a product's first part that stands for any formula

const whom = ["order", "vehicle", "painter", "due"]; // fields that Enter goes on from while no coat is named

export class OrderForm {
  // order: to which coats are added; null: a new one. kept(id) is told once it is on disk.
  constructor(order, kept) {
    Object.assign(this, { name: "orderform", order, kept, values: {}, typed: true, panels: new Panels(), found: null, choices: [], taken: new Set() });
  }

  get caret() {
    return this.order ? "field-colour" : "field-order";
  }

  enter(app) {
    this.panels.read(app);
    this.look(app);
  }

  changed(app, name) {
    clearTimeout(this.timer);
    if (name === "colour") this.timer = setTimeout(() => this.look(app), SETTLE_MS);
    else app.draw();
  }

  // The colour that is meant, with its coats, and the products that stand for a coat of their own. A colour's coats are
  // all taken at first: that is what a repair needs, and one that is not is put out by its digit.
  async look(app) {
    const text = (this.values.colour ?? "").trim(), turn = (this.turn = (this.turn ?? 0) + 1);
    const [formulas, products] = await Promise.all([text ? call("formula.list", { text, limit: 1 }).catch(() => null) : null,
      this.products ?? call("product.list", {}).catch(() => null)]);
    if (turn !== this.turn) return;
    this.products = products;
    const formula = formulas?.formulas?.[0] ?? null;
    if (formula?.code !== this.found?.code) this.take(formula);
    app.draw();
  }

  take(formula) {
    this.found = formula;
    const coats = (formula?.coats ?? []).map((c) => ({ coat: c.coat, formula: formula.code, variant: c.variants[0] ?? "standard" }));
    const own = (this.products?.products ?? []).filter((p) => p.parts[0] !== COLOUR && SPRAYED.includes(p.role))
      .map((p) => ({ coat: p.role, product: p.id, variant: "standard" }));
    this.taken = new Set(coats);
    this.choices = [...coats, ...own.sort((a, b) => SPRAYED.indexOf(b.coat) - SPRAYED.indexOf(a.coat))]; // the clear first: it is meant most
  }

  toggle(app, c) {
    if (!this.taken.delete(c)) this.taken.add(c);
    app.draw();
  }

  draw(app) {
    const f = this.found;
    return { kind: "asking", body: [
      el("h1", {}, this.order ? word("page.order", { order: this.order.order }) : word("page.new_order")),
      el("section", { class: "fields" },
        !this.order && field(this, app, "order", word("page.amount_order")),
        !this.order && field(this, app, "vehicle", word("page.vehicle")),
        !this.order && field(this, app, "painter", word("page.amount_painter")),
        !this.order && field(this, app, "due", word("page.due_head"), { hint: word("page.due_form") }),
        field(this, app, "colour", word("page.code_or_name"), { hint: f ? `${f.code} ${f.name}` : "" }),
        field(this, app, "grams", word("page.grams_a_coat"), { mode: "number" })),
      this.choices.length ? el("section", { class: "choices" }, el("div", { class: "choice", role: "group", "aria-label": word("page.coats") },
        el("span", { class: "who" }, word("page.coats")),
        ...this.choices.map((c) => el("button", { type: "button", class: `panel ${this.taken.has(c) ? "chosen" : ""}`,
          "aria-pressed": this.taken.has(c), onclick: () => this.toggle(app, c) }, coatName({ ...c, formula: c.formula ?? null }))))) : null,
      this.panels.draw(app)] };
  }

  step(app, by) {
    const all = [...app.root.querySelectorAll(".field input, .panel")];
    const i = all.indexOf(document.activeElement);
    all[(i + by + all.length) % all.length]?.focus();
  }

  digit(app, n) {
    if (this.choices[n - 1]) this.toggle(app, this.choices[n - 1]);
  }

  refused(app, name, why) {
    return refuseField(this, app, /^\w*/.exec(name)[0] === "coats" ? "colour" : name, why);
  }

  // Coats as the call takes them, in spraying order: behind those that the order has already.
  get coats() {
    const weight = (this.values.grams ?? "").trim(), amount = weight ? { grams: typed(weight) } : { panels: this.panels.chosen };
    const added = this.choices.filter((c) => this.taken.has(c)).sort((a, b) => SPRAYED.indexOf(a.coat) - SPRAYED.indexOf(b.coat))
      .map((c) => ({ ...c, ...amount }));
    return [...(this.order ? putOf(this.order).coats : []), ...added];
  }

  get params() {
    if (this.order) return putOf(this.order, { coats: this.coats });
    const out = { order: this.values.order.trim(), coats: this.coats };
    for (const name of ["vehicle", "painter"]) if ((this.values[name] ?? "").trim()) out[name] = this.values[name].trim();
    const due = (this.values.due ?? "").trim();
    if (due) out.due = dayTyped(due, true) || due;
    return out;
  }

  sill(app) {
    const weight = (this.values.grams ?? "").trim();
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it") };
    if (!this.order && !(this.values.order ?? "").trim()) return { kind: "hand", text: word("page.type_order") };
    if (this.order && !this.taken.size) return { kind: "hand", text: word("footline.type_code") };
    if (!this.order && !this.found && !this.taken.size && whom.includes(this.at))
      return { kind: "key", text: word("footline.next_line"), run: () => this.step(app, 1) };
    if (weight && !(typed(weight) > 0)) return { kind: "hand", text: word("footline.no_amount") };
    if (weight && this.panels.chosen.length) return { kind: "hand", text: word("page.grams_or_panels") };
    return { kind: "key", text: word("page.keep_order", { order: this.order?.order ?? this.values.order.trim() }), run: () => this.keep(app) };
  }

  async keep(app) {
    const order = await app.act({ method: "order.put", params: this.params });
    if (order) this.kept(order.order);
  }
}

export const openOrderForm = (app, order, kept) => app.open(new OrderForm(order, kept));
