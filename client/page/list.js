// list.js - a page of lines of which one is chosen: a digit, + and -, or a touch chooses, the foot line commits. A shut
// line says why.
import { el } from "./draw.js";
import { word } from "./words.js";

// rows(app) -> [{text, detail, figure, shut, run, says}]; shut: why it cannot be chosen; says: the foot line's words;
// warns: what is wrong with it; kind: a class of its own. read(app), where there is one, asks the daemon anew each time
// the list comes up; beside(app, row), where there is one, draws what belongs to the chosen line.
export class List {
  constructor(name, title, rows, more = {}) {
    Object.assign(this, { name, title, rows, chosen: 0, above: () => [], beside: () => null, empty: "" }, more);
  }

  draw(app) {
    const rows = this.rows(app);
    this.chosen = Math.min(this.chosen, Math.max(0, rows.length - 1));
    return { kind: "listing", body: [
      el("h1", {}, typeof this.title === "function" ? this.title(app) : this.title),
      ...this.above(app),
      el("section", { class: "rows" }, ...(rows.length ? rows.map((row, i) => this.row(app, row, i)) : [el("p", {}, this.empty)])),
      this.beside(app, rows[this.chosen])] };
  }

  row(app, row, i) {
    const chosen = i === this.chosen;
    return el("button", { type: "button", class: `pick ${chosen ? "chosen" : ""} ${row.kind ?? ""}`, "aria-pressed": chosen,
      "aria-disabled": Boolean(row.shut),
      onclick: () => this.choose(app, i) },
      el("span", { class: "digit" }, i < 9 ? String(i + 1) : ""), el("b", {}, row.text),
        row.warns && el("span", { class: "rubric" }, row.warns),
        el("span", { class: "who" }, row.shut || row.detail || ""),
      el("span", { class: "gap" }), el("b", {}, row.figure ?? ""));
  }

  choose(app, i) {
    if (i < 0 || i >= this.rows(app).length) return;
    this.chosen = i;
    app.note = "";
    app.draw();
    app.root.querySelector(".pick.chosen")?.scrollIntoView({ block: "nearest" });
  }

  digit(app, n) {
    this.choose(app, n - 1);
  }

  step(app, by) {
    this.choose(app, this.chosen + by);
  }

  sill(app) {
    const row = this.rows(app)[this.chosen];
    if (!row) return { kind: "hand", text: this.empty || word("footline.go_back") };
    const second = this.secondOf?.(app, row);
    if (row.wait) return { kind: "hand", text: row.wait, second };
    if (row.shut || !row.run) return { kind: "hand", text: row.shut || row.text };
    return { kind: "key", text: row.says ?? row.text, run: () => row.run(app), second };
  }
}

// ---- fields ----

// An input of a form: what is written stays in `values[name]`; typing tells the view. What was refused of it stands under it.
export function field(view, app, name, label, { mode = "text", id = `field-${name}`, hint = "" } = {}) {
  const wrong = view.wrong === name, why = `why-${name}`;
  const input = el("input", { id, name, inputmode: mode === "number" ? "decimal" : "text", autocomplete: "off", autocapitalize: "off",
    spellcheck: "false",
    enterkeyhint: "done", "aria-label": label, "aria-invalid": wrong ? "true" : null, "aria-describedby": wrong ? why : null,
    oninput: (e) => {
      view.values[name] = e.target.value;
      view.typed = Object.values(view.values).some(Boolean);
      view.wrong = null;
      view.changed?.(app, name);
    },
    onfocus: () => { view.at = name; } });
  input.value = view.values[name] ?? "";
  return el("div", { class: `field ${wrong ? "wrong" : ""}` }, el("label", { for: id }, label), input,
    hint && el("span", { class: "who" }, hint),
    wrong && el("p", { class: "rubric", id: why, role: "alert" }, view.whyWrong));
}

// Takes a refusal to the field that it is about: the field stays as it was written, with the caret in it. False: no such
// field here.
export function refuseField(view, app, name, why) {
  const input = document.getElementById(`field-${name}`);
  if (!input) return false;
  Object.assign(view, { wrong: name, whyWrong: why });
  app.draw();
  document.getElementById(`field-${name}`)?.focus();
  return true;
}

const SHOWN = 6; // choices at once

// One text or number that an act asks for; commits it with the act.
export class Ask {
  constructor(name, title, { ask, label, mode = "text", says, run, choices = [], hint = "" }) {
    Object.assign(this, { name, title, askName: ask, label, mode, hint, says, run, choices, values: {}, typed: false });
  }

  get caret() {
    return `field-${this.askName}`;
  }

  draw(app) {
    const take = (c) => { // the caret goes to the field: Enter on the button would only take it once more
      this.values[this.askName] = c.value;
      this.wrong = null;
      app.draw();
      document.getElementById(`field-${this.askName}`)?.focus();
    };
    return { kind: "asking", body: [
      el("h1", {}, this.title),
      field(this, app, this.askName, this.label, { mode: this.mode, hint: this.hint }),
      el("section", { class: "rows" }, ...this.shown().map((c) =>
        el("button", { type: "button", class: "pick", onclick: () => take(c) }, el("b", {}, c.value),
          el("span", { class: "who" }, c.text ?? ""))))] };
  }

  shown() {
    const typed = (this.values[this.askName] ?? "").toLowerCase();
    return this.choices.filter((c) => !typed || `${c.value} ${c.text ?? ""}`.toLowerCase().includes(typed)).slice(0, SHOWN);
  }

  changed(app) {
    app.draw();
  }

  refused(app, name, why) {
    return refuseField(this, app, this.askName, why);
  }

  sill(app) {
    const value = (this.values[this.askName] ?? "").trim();
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it") };
    if (!value) return { kind: "hand", text: this.label };
    return { kind: "key", text: this.says(value), run: () => this.run(app, value) };
  }
}
