// panels.js - what is to be painted: the shop's kinds of panels, each pressed as often as it gets coats. It must not
// know what they are painted with.
import { el } from "./draw.js";
import { fixed } from "./words.js";

const COATS_MAX = 4; // of one panel; one more is none again

export class Panels {
  constructor() {
    Object.assign(this, { kinds: null, coats: {} });
  }

  async read(app) {
    this.kinds ??= (await app.ask("panel.list", { limit: 50 }))?.panels ?? [];
    app.draw();
  }

  // As a call takes them: [{name, coats}].
  get chosen() {
    return Object.entries(this.coats).filter(([, n]) => n > 0).map(([name, coats]) => ({ name, coats }));
  }

  // changed() is told of each press.
  draw(app, changed) {
    if (!this.kinds) return null;
    const press = (p) => {
      this.coats[p.id] = ((this.coats[p.id] ?? 0) + 1) % (COATS_MAX + 1);
      changed?.();
      app.draw();
    };
    return el("section", { class: "panels" }, ...this.kinds.map((p) => {
      const n = this.coats[p.id] ?? 0;
      return el("button", { type: "button", class: `panel ${n ? "chosen" : ""}`, "aria-pressed": n > 0, onclick: () => press(p) },
        el("b", {}, n ? String(n) : ""), ` ${p.name} `, el("small", {}, `${p.default ? "~" : ""}${fixed(p.area_m2, 1)} m²`));
    }));
  }
}
