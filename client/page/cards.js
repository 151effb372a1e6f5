// cards.js - spray-out cards: what matched a colour before, and a new one kept. A card tells what somebody saw, in which
// light; it judges nothing.
import { el } from "./draw.js";
import { field, List, refuseField } from "./list.js";
import { openAmount } from "./amount.js";
import { day, typed, word } from "./words.js";

const VERDICTS = ["match", "near", "no"], LIGHTS = ["sun", "shade", "lamp", "booth"];

// A light that somebody named otherwise stands as it was typed.
const lightName = (light) => (LIGHTS.includes(light) ? word(`page.light.${light}`) : light);

// ---- a card is kept ----

class CardForm {
  // of: {batch} or {formula, variant, coat}, with the order where there is one.
  constructor(of, title) {
    Object.assign(this, { name: "card", of, title, values: {}, typed: true, verdict: null, light: new Set() });
  }

  draw(app) {
    const pick = (text, chosen, run) => el("button", { type: "button", class: `panel ${chosen ? "chosen" : ""}`, "aria-pressed": chosen,
      onclick: () => { run(); app.draw(); } }, text);
    const group = (title, ...buttons) => el("div", { class: "choice", role: "group", "aria-label": title },
      el("span", { class: "who" }, title), ...buttons);
    return { kind: "asking", body: [
      el("h1", {}, this.title),
      el("section", { class: "choices" },
        group(word("page.verdict"), ...VERDICTS.map((v, i) => pick(`${i + 1} ${word(`page.card.${v}`)}`, this.verdict === v,
          () => { this.verdict = v; }))),
        group(word("page.light"), ...LIGHTS.map((l, i) => pick(`${i + 1 + VERDICTS.length} ${lightName(l)}`, this.light.has(l),
          () => { if (!this.light.delete(l)) this.light.add(l); })))),
      el("section", { class: "fields" },
        field(this, app, "coats", word("page.card_coats"), { mode: "number", hint: "2" }),
        field(this, app, "note", word("page.note"))),
      ] };
  }

  digit(app, n) {
    app.root.querySelectorAll(".choices .panel")[n - 1]?.onclick();
  }

  step(app, by) {
    const all = [...app.root.querySelectorAll(".panel, .field input")], i = all.indexOf(document.activeElement);
    all[(i + by + all.length) % all.length]?.focus();
  }

  refused(app, name, why) {
    return refuseField(this, app, name, why);
  }

  sill(app) {
    if (this.wrong) return { kind: "hand", text: word("footline.fix_it") };
    if (!this.verdict) return { kind: "hand", text: word("page.press_verdict") };
    if (!this.light.size) return { kind: "hand", text: word("page.press_light") };
    return { kind: "key", text: `${word("page.keep_card")}: ${word(`page.card.${this.verdict}`)}`, run: () => this.keep(app) };
  }

  async keep(app) {
    const coats = (this.values.coats ?? "").trim(), note = (this.values.note ?? "").trim();
    const params = { ...this.of, verdict: this.verdict, light: [...this.light], ...(coats ? { coats: typed(coats) } : {}),
      ...(note ? { note } : {}) };
    const card = await app.act({ method: "card.put", params });
    if (!card) return;
    app.back();
    app.note = word("page.card_kept", { card: card.card });
    app.draw();
  }
}

// ---- what matched before ----

function cardRow(app, c) {
  const seen = [c.variant, c.coat && word(`coat.${c.coat}`), word("page.card_in", { coats: c.coats, light: c.light.map(lightName).join(", ") }),
    c.order && word("page.order", { order: c.order }), c.note, c.who, day(c.time)].filter(Boolean).join(", ");
  const begin = app.screen.moves.find((m) => m.act.method === "batch.begin");
  const title = [c.formula, c.coat && word(`coat.${c.coat}`), c.variant].filter(Boolean).join(", ");
  return { text: `${word("page.card", { card: c.card })} ${c.formula ?? ""}`, detail: seen, figure: word(`page.card.${c.verdict}`),
    kind: c.verdict === "match" ? "" : "faint", says: word("footline.how_much", { coat: title }),
    run: c.formula && c.coat && begin?.open && (() => openAmount(app, { formula: c.formula, coat: c.coat, variant: c.variant ?? "standard", title })) };
}

// of: {formula, coat, variant, batch, order}: the cards of that colour, what matched first; {}: all, newest first.
export function openCards(app, of) {
  const { formula, coat, variant, batch, order } = of;
  const title = [word("page.cards"), formula, coat && word(`coat.${coat}`)].filter(Boolean).join(" ");
  const subject = batch ? { batch } : { formula, variant, coat };
  const keep = () => app.open(new CardForm({ ...subject, ...(order ? { order } : {}) }, `${word("page.keep_card")}: ${[formula, coat && word(`coat.${coat}`)].filter(Boolean).join(" ")}`));
  const view = new List("cards", title, (a) => [...(view.cards ?? []).map((c) => cardRow(a, c)),
    ...(formula || batch ? [{ text: word("page.keep_card"), run: keep }] : [])], {
    empty: word("page.no_cards"),
    secondOf: () => (formula || batch) && { text: word("page.keep_card"), run: keep },
    read: async (a) => {
      view.cards = (await (formula ? a.ask("card.match", { formula, ...(coat ? { coat } : {}) }) : a.ask("card.list", {})))?.cards ?? [];
      a.draw();
    } });
  app.open(view);
}
