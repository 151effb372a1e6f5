// find.js - one field for a colour, an order, a batch number: what matches stands below, the best one open.
import { el } from "./draw.js";
import { field } from "./list.js";
import { call } from "./link.js";
import { word, day, dayTyped, hour } from "./words.js";
import { openAmount } from "./amount.js";
import { coatName } from "./order.js";
import { openRecord } from "./record.js";

const SETTLE_MS = 150; // after the last letter
const FORMULAS = 9, BATCHES = 6, ORDERS = 3, REST = 6; // matches asked for, and shown below the open one
const CODE = /^(?:#|POISE:)?(\d{1,9})$/i; // a batch number as it is spoken, written or read from a label

export class Find {
  constructor() {
    Object.assign(this, { name: "find", values: {}, typed: false, matches: null, match: 0, coat: 0, variant: 0, writing: true });
  }

  get caret() {
    return "field-text";
  }

  enter(app) {
    this.look(app);
  }

  changed(app) {
    clearTimeout(this.timer);
    this.writing = true;
    this.timer = setTimeout(() => this.look(app), SETTLE_MS);
  }

  // Formulas, products and batches at once; an older answer never takes the place of a newer one. What is typed may be a
  // code, a name, an order, a painter (the daemon's search knows all four), a batch number or a day.
  async look(app) {
    const text = (this.values.text ?? "").trim(), turn = (this.turn = (this.turn ?? 0) + 1);
    const number = CODE.exec(text)?.[1], date = dayTyped(text);
    const ask = (method, params) => call(method, params).catch(() => null);
    const [formulas, products, batches, one, orders] = await Promise.all([
      date ? null : ask("formula.list", text ? { text, limit: FORMULAS } : { limit: FORMULAS }),
      ask("product.list", {}),
      date ? ask("batch.find", { from: date, to: date, limit: FORMULAS }) : text ? ask("batch.find", { text, limit: BATCHES }) : null,
      number ? ask("batch.get", { batch: number, events: 1 }) : null,
      text && !date && !app.screen.practice ? ask("order.list", { text, limit: ORDERS }) : null]);
    if (turn !== this.turn || app.view !== this) return;
    const low = text.toLowerCase();
    const found = (formulas?.formulas ?? []).map((formula) => ({ formula }));
    for (const product of products?.products ?? [])
      if (text && `${product.id} ${product.name}`.toLowerCase().includes(low)) found.push({ product });
    for (const order of orders?.orders ?? []) found.push({ order });
    for (const batch of batches?.batches ?? []) found.push({ batch });
    if (one) this.putIn(found, one, text);
    Object.assign(this, { matches: found, match: 0, coat: 0, variant: 0 });
    app.draw();
  }

  // The batch of just that number: first where a `#` says that a batch is meant, else below what is called so.
  putIn(found, one, text) {
    const at = found.findIndex((m) => m.batch?.batch === one.batch);
    if (at >= 0) found.splice(at, 1);
    found.splice(/^\d/.test(text) ? 1 : 0, 0, { batch: one });
  }

  get open() {
    return this.matches?.[this.match];
  }

  draw(app) {
    const m = this.open;
    const rest = (this.matches ?? []).filter((x) => x !== m).slice(0, REST);
    return { kind: "finding", body: [
      field(this, app, "text", word("page.code_or_name")),
      m ? this.drawOpen(app, m) : el("p", { class: "empty" }, this.matches ? word("footline.none_found") : ""),
      el("section", { class: "rows rest" }, ...rest.map((x) => this.row(app, x)))] };
  }

  row(app, m) {
    const { code, name, figure } = this.words(m);
    return el("button", { type: "button", class: "pick", onclick: () => this.take(app, this.matches.indexOf(m)) },
      el("b", {}, code), el("span", {}, name), el("span", { class: "gap" }), el("span", {}, figure));
  }

  words(m) {
    if (m.formula) return { code: m.formula.code, name: m.formula.name, figure: word(`finish.${m.formula.finish}`) };
    if (m.product) return { code: m.product.id, name: m.product.name, figure: m.product.ratio };
    if (m.order) return { code: word("page.order", { order: m.order.order }), name: [m.order.vehicle,
      m.order.painter].filter(Boolean).join(" "), figure: m.order.coats.map(coatName).join(", ") };
    const b = m.batch;
    return { code: word("page.batch", { batch: b.batch }),
      name: [b.formula, b.name, b.coat && word(`coat.${b.coat}`), b.order, b.painter].filter(Boolean).join(" "),
      figure: `${day(b.begun)} ${hour(b.begun)}` };
  }

  drawOpen(app, m) {
    const { code, name, figure } = this.words(m);
    const coats = m.formula?.coats ?? [];
    return el("section", { class: "match" },
      el("div", { class: "toner" }, el("b", { class: "bigcode" }, code), el("span", { class: "bigname" }, name),
        el("span", { class: "gap" }), el("span", {}, figure)),
      ...coats.map((c, i) => el("button", { type: "button", class: `pick ${i === this.coat ? "chosen" : ""}`,
        "aria-pressed": i === this.coat, onclick: () => this.digit(app, i + 1) },
        el("span", { class: "digit" }, String(i + 1)), el("b", {}, word(`coat.${c.coat}`)), el("span", { class: "gap" }),
        el("span", {}, i === this.coat ? c.variants[this.variant] ?? c.variants[0] : c.variants.length > 1 ? c.variants.join(", ") : ""))));
  }

  take(app, i) {
    if (i < 0 || i >= (this.matches?.length ?? 0)) return;
    Object.assign(this, { match: i, coat: 0, variant: 0, writing: false });
    app.draw();
  }

  step(app, by) {
    this.take(app, this.match + by);
  }

  digit(app, n) {
    if (!this.open?.formula || n > this.open.formula.coats.length) return;
    if (this.coat !== n - 1) Object.assign(this, { coat: n - 1, variant: 0 });
    app.draw();
  }

  // Enter ends the writing; the next one commits. Where one coat is all there is, nothing is left to choose.
  sill(app) {
    const m = this.open;
    if (!m) return { kind: "hand", text: this.matches && this.values.text ? word("footline.none_found") : word("footline.type_code") };
    if (m.order) return { kind: "key", text: word("page.order", { order: m.order.order }), run: () => app.openOrder(app, m.order.order) };
    if (m.batch) return { kind: "key", text: word("page.batch", { batch: m.batch.batch }), run: () => openRecord(app, m.batch.batch) };
    if (m.product) return { kind: "key", text: word("footline.how_much", { coat: m.product.name }),
      run: () => openAmount(app, { product: m.product.id, title: `${m.product.id} ${m.product.name}` }) };
    const { coats } = m.formula;
    if (!coats.length) return { kind: "hand", text: word("footline.none_found") };
    if (this.writing && coats.length > 1) return { kind: "key", text: word("footline.use_this"),
      run: () => { this.writing = false; document.activeElement?.blur(); app.draw(); } };
    const c = coats[this.coat], variant = c.variants[this.variant] ?? "standard";
    return { kind: "key", text: word("footline.how_much", { coat: word(`coat.${c.coat}`) }),
      run: () => openAmount(app, { formula: m.formula.code, coat: c.coat, variant,
        title: `${m.formula.code} ${m.formula.name}, ${word(`coat.${c.coat}`)}, ${variant}` }),
      second: c.variants.length > 1 && { text: word("footline.variant"),
        run: () => { this.variant = (this.variant + 1) % c.variants.length; this.writing = false; app.draw(); } } };
  }
}

export function openFind(app) {
  if (app.screen.state !== "idle") {
    app.note = word("page.find_shut");
    app.open(new LookOnly());
    return;
  }
  if (!(app.view instanceof Find)) app.open(new Find());
}

// While a batch is open a record may be read, but nothing begun.
class LookOnly extends Find {
  sill(app) {
    const m = this.open;
    if (m?.batch || m?.order) return super.sill(app);
    return { kind: "hand", text: word("page.find_shut") };
  }
}
