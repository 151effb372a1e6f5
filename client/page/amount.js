// amount.js - how much: grams of colour, millilitres to spray, or panels; with which hardener and reducer, in which cup;
// what is in the cup already; who and for what. What comes of it is the daemon's plan, shown while it is written.
import { el, line } from "./draw.js";
import { field, refuseField } from "./list.js";
import { choicesOf } from "./choices.js";
import { cupsOf, offerCups } from "./leftover.js";
import { haveOf, offerUses, usesOf } from "./use_up.js";
import { Panels } from "./panels.js";
import { amounts, fixed, grams, said, typed, word } from "./words.js";

const SETTLE_MS = 200; // after the last letter
const OFFERS = 2; // cups of the shelf, oldest first
// How panels come to litres, with their labels. Where nothing is written the product's own hold.
const ESTIMATE = [["mids", "page.mids"], ["film_um", "page.film"], ["transfer_pct", "page.transfer"], ["loss_ml", "page.loss"]];
const POUR_ORDERS = ["formula", "bed"];
const kept = { order: "", painter: "" }; // stay until changed: the next coat is for the same order

export class Amount {
  // what: {formula, coat, variant} | {product} | {repeat, as}; a title; have: what is in the cup already, as it is typed.
  // of: {order, coat_n}, whose coat it is; shelf: the formula, coat and variant of what is mixed again.
  constructor({ title, have = "", of = null, shelf = null, ...what }) {
    const order = of ? { order: of.order } : {};
    Object.assign(this, { name: "amount", title, what, of, shelf: shelf ?? what, values: { ...kept, ...order, have }, typed: true, plan: null });
    Object.assign(this, { panels: new Panels(), groups: [], taken: {}, cups: [], wrong: null, at: "grams" });
  }

  get caret() {
    return "field-grams";
  }

  enter(app) {
    if (this.what.repeat) this.look(app);
    this.readChoices(app);
    this.readCups(app);
  }

  // What stands on the shelf of this colour: a touch-up is poured from there before it is mixed anew.
  async readCups(app) {
    if (this.values.have || app.screen.practice) return; // a cup of the shop stands on no scale of a practice
    this.cups = await cupsOf(this.shelf);
    if (this.cups.length && app.view === this) app.draw();
  }

  async readChoices(app) {
    this.groups = [...await choicesOf(this.what, this.taken), ...(this.what.formula ? [pourOrders()] : [])];
    if (app.view === this) app.draw();
  }

  changed(app, name) {
    if (name in kept) {
      kept[name] = this.values[name];
      app.draw();
    }
    if (name === "order") return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.look(app), SETTLE_MS);
  }

  // Which amounts are given; a plan takes exactly one.
  get amounts() {
    const given = {};
    for (const name of ["grams", "ml"]) if ((this.values[name] ?? "").trim()) given[name] = typed(this.values[name].trim());
    if (this.panels.chosen.length) given.panels = this.panels.chosen;
    return given;
  }

  // What an estimate by panels is made with; a number that is none goes as it was typed, for the daemon to refuse.
  get estimate() {
    if (!this.panels.chosen.length) return {};
    const given = ESTIMATE.map(([name]) => [name, (this.values[name] ?? "").trim()]).filter(([, text]) => text);
    return { ...Object.fromEntries(given.map(([name, text]) => [name, Number.isNaN(typed(text)) ? text : typed(text)])),
      ...(this.control ? { control_coat: true } : {}) };
  }

  get params() {
    const have = haveOf(this.values.have ?? "");
    const chosen = Object.assign({}, ...this.groups.map((group) => group.params(this.taken)));
    return { ...this.what, ...this.amounts, ...this.estimate, ...chosen, ...(have ? { have } : {}) };
  }

  async look(app) {
    const given = Object.keys(this.amounts), turn = (this.turn = (this.turn ?? 0) + 1);
    this.wrong = null;
    app.note = "";
    const enough = (given.length === 1 && !Number.isNaN(this.amounts[given[0]])) || (given.length === 0 && this.what.repeat);
    const painter = (this.values.painter ?? "").trim(); // whose earlier jobs correct an estimate by panels
    const plan = enough ? await app.ask("mix.plan", { station: app.station, ...this.params, ...(painter ? { painter } : {}) }) : null;
    if (turn !== this.turn || app.view !== this) return;
    Object.assign(this, { plan, uses: null });
    app.draw();
    const uses = plan && !app.screen.practice && !(this.values.have ?? "").trim() && await usesOf({ station: app.station, ...this.params });
    if (!uses || turn !== this.turn || app.view !== this) return;
    this.uses = uses;
    app.draw();
  }

  refused(app, name, why) {
    return refuseField(this, app, /^\w*/.exec(name)[0], why);
  }

  take(app, group, id) {
    this.taken[group.name] = this.taken[group.name] === id ? null : id;
    if (group.again) this.readChoices(app);
    this.look(app);
    app.draw();
  }

  draw(app) {
    return { kind: "asking", body: [
      el("h1", {}, this.title),
      el("section", { class: "fields" },
        field(this, app, "grams", this.gramsOf(), { mode: "number" }),
        field(this, app, "ml", word("page.amount_ml"), { mode: "number" }),
        field(this, app, "order", word("page.amount_order")),
        field(this, app, "painter", word("page.amount_painter")),
        field(this, app, "have", word("page.amount_have"), { hint: word("page.amount_have_form") })),
      this.cups.length ? el("section", { class: "rows offers" }, ...offerCups(app, this.cups.slice(0, OFFERS), this.values.order)) : null,
      this.uses && offerUses(this, app, this.uses),
      this.panels.draw(app, () => this.look(app)),
      this.panels.chosen.length ? this.drawEstimate(app) : null,
      this.groups.length ? el("section", { class: "choices" }, ...this.groups.map((group) => this.drawGroup(app, group))) : null,
      this.plan ? this.drawPlan(app, this.plan) : null] };
  }

  // Grams of a product are of its first part; a plan tells which that is.
  gramsOf() {
    const part = this.plan?.part;
    return part ? `${word("page.grams")} ${part}` : word(this.what.product && !this.what.formula ? "page.grams" : "page.amount_g");
  }

  drawEstimate(app) {
    const toggle = () => { this.control = !this.control; this.look(app); app.draw(); };
    return el("section", { class: "fields" },
      ...ESTIMATE.filter(([name]) => name !== "mids" || this.what.coat === "mid")
        .map(([name, label]) => field(this, app, name, word(label), { mode: "number" })),
      el("div", { class: "choice" }, el("button", { type: "button", class: `panel ${this.control ? "chosen" : ""}`,
        "aria-pressed": Boolean(this.control), onclick: toggle }, word("page.control_coat"))));
  }

  drawGroup(app, group) {
    const chosen = this.taken[group.name] ?? group.usual;
    return el("div", { class: "choice", role: "group", "aria-label": group.title }, el("span", { class: "who" }, group.title),
      ...group.items.map((item) => el("button", { type: "button", class: `panel ${item.id === chosen ? "chosen" : ""}`,
        "aria-pressed": item.id === chosen,
        onclick: () => this.take(app, group, item.id) }, el("b", {}, item.text), " ", el("small", {}, item.detail))));
  }

  drawPlan(app, plan) {
    const cup = plan.cup && word(plan.cup.fits ? "plan.cup_fits" : "plan.cup_small", { cup: `${fixed(plan.cup.ml, 0)} mL` });
    const cost = plan.cost !== null && word("plan.cost", { cost: `${fixed(plan.cost, 2)} ${plan.currency}` });
    return el("section", { class: "plan" },
      el("p", { class: "both" }, amounts(plan.total_g, plan.part, plan.ready_ml),
        el("span", { class: "who" }, ` ${[cup, cost].filter(Boolean).join(", ")}`)),
      this.drawPremix(app, plan),
      plan.touch_up && !this.cups.length && el("p", { class: "rubric" }, said(plan.touch_up.said)),
      ...(plan.learnt ?? []).map((s) => el("p", { class: "who" }, said(s))),
      ...plan.warnings.map((w) => el("p", { class: "rubric" }, said({ code: w.code, args: w.args ?? {} }))),
      ...plan.components.map((c) => line("", c.toner, c.name ?? "", grams(c.aim_g))),
      ...plan.additions.filter((a) => a.toner !== plan.reducer?.toner).map((a) => line("", a.toner, a.name ?? "", grams(a.grams))),
      plan.reducer && line("", plan.reducer.toner, plan.reducer.name ?? "", grams(plan.reducer.grams)));
  }

  // Toners that are too small for the scale: a premix of them is led like a batch, and this batch then takes from it.
  drawPremix(app, plan) {
    const { premix } = plan, { formula, variant, coat } = this.what;
    if (!premix || !formula) return null;
    if (premix.kept) return el("p", { class: "who" }, word("page.premix_kept", { premix: premix.kept, take_g: premix.take_g }));
    const begin = app.screen.moves.find((m) => m.act.method === "batch.begin" && m.open);
    return begin && el("section", { class: "rows offers" }, el("button", { type: "button", class: "pick premix",
      onclick: () => this.makePremix(app, begin, { formula, coat, ...(variant ? { variant } : {}), grams: plan.total_g }) },
      el("b", {}, word("page.premix_first", { toners: premix.toners.join(", ") })), el("span", { class: "gap" }),
      el("b", {}, `${grams(premix.total_g)} g`)));
  }

  async makePremix(app, begin, premix) {
    const s = await app.act(begin.act, { premix });
    if (!s) return;
    app.asked = { batch: s.batch, form: this };
    app.home();
  }

  // Through the fields, then through what is to be chosen.
  step(app, by) {
    const all = [...app.root.querySelectorAll(".field input, .panel")];
    const i = all.indexOf(document.activeElement);
    all[(i + by + all.length) % all.length]?.focus();
  }

  // A digit chooses in the group that the caret stands in.
  digit(app, n) {
    const group = document.activeElement?.closest(".choice, .panels");
    group?.querySelectorAll(".panel")[n - 1]?.onclick();
  }

  sill(app) {
    const given = Object.keys(this.amounts);
    const second = !this.panels.kinds && !this.what.product && { text: word("page.panels"), run: () => this.panels.read(app) };
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it"), second };
    if (given.length > 1) return { kind: "hand", text: word("footline.one_amount"), second };
    if (given.some((name) => name !== "panels" && !(this.amounts[name] > 0))) return { kind: "hand", text: word("footline.no_amount"),
      second };
    if (!given.length && !this.what.repeat) return { kind: "hand", text: word("footline.type_amount"), second };
    if ((this.values.have ?? "").trim() && !haveOf(this.values.have)) return { kind: "hand", text: word("page.have_both"), second };
    const begin = app.screen.moves.find((m) => m.act.method === "batch.begin");
    if (!begin?.open) return { kind: "hand", text: begin?.why ? said(begin.why) : word("page.find_shut") };
    return { kind: "key", text: this.says(given[0]), run: () => this.begin(app, begin), second };
  }

  says(by) {
    const amount = by === "ml" ? fixed(this.amounts.ml, 0) : by === "grams" ? grams(this.amounts.grams) : this.plan
      ? grams(this.plan.total_g) : "";
    const part = this.plan?.part, kind = by === "ml" ? "ml" : part ? "part" : "g";
    if (this.what.repeat) return word(`footline.begin_again_${kind}`, { batch: this.what.repeat, amount, part });
    return word(`footline.begin_${kind}`, { formula: this.what.formula ?? this.what.product, coat: this.what.coat ?? "",
      amount, part }).replace(" ,", ",");
  }

  async begin(app, move) {
    const more = { ...this.params };
    for (const name of ["order", "painter"]) if ((this.values[name] ?? "").trim()) more[name] = this.values[name].trim();
    if (this.of && more.order === this.of.order) more.coat_n = this.of.coat_n;
    if (await app.act(move.act, more)) app.home();
  }
}

// Without a choice the order of the bench or the shop holds.
const pourOrders = () => ({ name: "pour_order", title: word("page.pour_order"), usual: null,
  items: POUR_ORDERS.map((id) => ({ id, text: word(`page.pour_order.${id}`), detail: "" })),
  params: (taken) => (taken.pour_order ? { pour_order: taken.pour_order } : {}) });

// A premix is finished: back to the form that asked for it, which plans anew and now takes from it.
export function backToForm(app, before) {
  const { asked } = app;
  if (!asked || before?.batch !== asked.batch || before.state !== "done" || app.views.length > 1) return;
  app.asked = null;
  app.open(asked.form);
  asked.form.look(app);
}

export const openAmount = (app, what) => app.open(new Amount(what));
