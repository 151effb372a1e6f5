// panels.js - what is to be painted: the shop's kinds of panels, each pressed as often as it gets coats; of a pressed one
// how much of it is painted, and whether its jambs and edges are all that is. It must not know what they are painted with.
import { el } from "./draw.js";
import { field } from "./list.js";
import { fixed, plain, typed, word } from "./words.js";

const COATS_MAX = 4; // of one panel; one more is none again

export class Panels {
  // asked: panels as an order has them, to begin with.
  constructor(asked = []) {
    Object.assign(this, { kinds: null, coats: {}, edges: {}, values: {}, typed: true });
    for (const p of asked) {
      this.coats[p.name] = p.coats;
      this.edges[p.name] = p.edges;
      if (p.share_pct !== 100) this.values[shareOf(p.name)] = plain(p.share_pct);
    }
    this.areas = Object.fromEntries(asked.filter((p) => (p.area_m2 ?? null) !== null).map((p) => [p.name, p.area_m2]));
  }

  async read(app) {
    this.kinds ??= (await app.ask("panel.list", { limit: 50 }))?.panels ?? [];
    app.draw();
  }

  // As a call takes them: [{name, coats, area_m2, share_pct, edges}]. A share that is no number goes as it was typed, for
  // the daemon to refuse.
  get chosen() {
    return Object.entries(this.coats).filter(([, n]) => n > 0).map(([name, coats]) => {
      const share = (this.values[shareOf(name)] ?? "").trim(), share_pct = typed(share);
      return { name, coats, ...(this.areas[name] ? { area_m2: this.areas[name] } : {}), ...(this.edges[name] ? { edges: true } : {}),
        ...(share ? { share_pct: Number.isNaN(share_pct) ? share : share_pct } : {}) };
    });
  }

  // changed() is told of each press, and of each share that is written.
  draw(app, changed) {
    if (!this.kinds) return null;
    this.changed = () => { changed?.(); app.draw(); };
    const press = (p) => {
      this.coats[p.id] = ((this.coats[p.id] ?? 0) + 1) % (COATS_MAX + 1);
      this.changed();
    };
    return el("section", { class: "panels" }, ...this.kinds.map((p) => {
      const n = this.coats[p.id] ?? 0;
      return el("button", { type: "button", class: `panel ${n ? "chosen" : ""}`, "aria-pressed": n > 0, onclick: () => press(p) },
        el("b", {}, n ? String(n) : ""), ` ${p.name} `, el("small", {}, `${p.default ? "~" : ""}${fixed(p.area_m2, 1)} m²`));
    }), ...this.kinds.filter((p) => this.coats[p.id] > 0).map((p) => this.drawPart(app, p)));
  }

  // How much of one panel: all of it where nothing is written.
  drawPart(app, p) {
    const edges = Boolean(this.edges[p.id]);
    return el("div", { class: "part" }, field(this, app, shareOf(p.id), word("page.share_of", { panel: p.name }), { mode: "number", hint: "100 %" }),
      el("button", { type: "button", class: `panel ${edges ? "chosen" : ""}`, "aria-pressed": edges,
        onclick: () => { this.edges[p.id] = !edges; this.changed(); } }, word("page.edges_alone")));
  }
}

const shareOf = (name) => `share_${name}`;
