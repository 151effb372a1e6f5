// ruler.js - the rule under the open line: graduated by ratio, so that a tooth that walks at a steady pace is a pour
// that brakes rightly. The notch is the tolerance.
//
// x = notch - sign(r) log2(1 + |r| / t) U, with r what is to go and t the tolerance, both grams; inside the notch the
// tooth moves linearly and sits low (screen/spec: ruler).
import { svg } from "./draw.js";
import { plain } from "./words.js";

export class Ruler {
  constructor() {
    this.svg = svg("svg", { class: "ruler", "aria-hidden": "true" });
    this.aim = null;
  }

  // Draws marks for an aim and a tolerance, grams, into so many px. thin: on the over page.
  set(aim, tolerance, wide, high, dead) {
    Object.assign(this, { aim, t: tolerance > 0 ? tolerance : 0.1, wide, high, dead });
    const portrait = high * 4 > wide;
    this.notch = wide * (portrait ? 0.74 : 0.79);
    this.u = Math.min(wide * 0.17, this.notch / Math.max(1, Math.log2(1 + Math.max(aim ?? 0, this.t) / this.t)));
    this.half = this.u; // |r| = t is one U away
    this.band = high * 0.5;
    this.svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    this.svg.setAttribute("width", wide);
    this.svg.setAttribute("height", high);
    const top = high - this.band;
    const ink = dead ? "url(#hatch)" : "currentColor";
    const left = Math.max(0, this.notch - this.half), right = Math.min(wide, this.notch + this.half);
    this.svg.replaceChildren(
      svg("defs", {}, svg("pattern", { id: "hatch", width: 20, height: 20, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
        svg("rect", { width: 9, height: 20, fill: "var(--line)" }))),
      svg("rect", { x: 0, y: top, width: left, height: this.band, fill: ink }),
      svg("rect", { x: right, y: top, width: wide - right, height: this.band, fill: ink }),
      svg("rect", { x: left, y: high - this.band * 0.12, width: right - left, height: this.band * 0.12, fill: dead ? "var(--line)" : "currentColor" }),
      svg("rect", { x: this.notch - 1.5, y: high - this.band * 0.3, width: 3, height: this.band * 0.3, fill: "currentColor" }),
      ...(dead ? [] : this.marks(top)));
    this.tooth = svg("path", { class: "tooth", fill: dead ? "none" : "currentColor", stroke: dead ? "var(--line)" : "none", "stroke-width": 4, "stroke-dasharray": "8 8" });
    this.ahead = svg("path", { class: "ahead", fill: "none", stroke: "currentColor", "stroke-width": 4, "stroke-dasharray": "10 7" });
    this.svg.append(this.ahead, this.tooth);
  }

  x(r) {
    const by = Math.abs(r) <= this.t ? (r / this.t) * this.half : Math.sign(r) * Math.log2(1 + Math.abs(r) / this.t) * this.u;
    return this.notch - by;
  }

  // 1, 2, 5 engraved in grams, the tens between them bare; what would stand too near another is left out.
  marks(top) {
    const out = [], paper = "var(--over-ink)";
    let last = Infinity;
    const numbers = [];
    for (let e = -3; e <= 4; e++) for (const m of [1, 2, 5]) numbers.push(m * 10 ** e);
    for (const g of numbers.sort((a, b) => a - b)) {
      const x = this.x(g);
      if (g <= this.t * 1.05 || x < 0) continue;
      const room = this.band * 0.75;
      if (last - x < room * 0.45) continue;
      out.push(svg("rect", { x: x - 1.2, y: top, width: 2.4, height: this.band * 0.3, fill: paper }));
      if (x > room * 0.6 && last - x > room) {
        out.push(this.text(plain(g), x));
        last = x;
      }
    }
    const past = numbers.find((g) => g > this.t * 1.2 && this.x(-g) < this.wide - this.band * 0.4);
    if (past) out.push(svg("rect", { x: this.x(-past) - 1.2, y: top, width: 2.4, height: this.band * 0.3, fill: paper }), this.text(`+${plain(past)}`, this.x(-past)));
    return out;
  }

  text(what, x) {
    const t = svg("text", { x, y: this.high - this.band * 0.14, "text-anchor": "middle", fill: "var(--over-ink)", "font-size": this.band * 0.42, "font-weight": "bold" });
    t.textContent = what;
    return t;
  }

  // Where the weight is, and where it will land; landing null: nothing falls. Off the right edge it is an arrow.
  move(r, landing) {
    if (this.aim === null || r === null) {
      this.tooth?.setAttribute("d", "");
      this.ahead?.setAttribute("d", "");
      return;
    }
    this.tooth.setAttribute("d", this.shape(r));
    this.ahead.setAttribute("d", landing === null || Math.abs(landing - r) < this.t / 4 ? "" : this.shape(landing));
  }

  shape(r) {
    const half = this.half * 0.65, high = this.high - this.band - 4, top = this.high - this.band;
    const seated = Math.abs(r) <= this.t;
    const x = Math.max(half * 0.2, this.x(r));
    const w = seated ? this.half - Math.min(Math.abs(this.x(r) - this.notch), this.half * 0.35) : half;
    if (x - half > this.wide - half) return `M${this.wide - 2.2 * half} ${top - high * 0.8}H${this.wide - half * 0.6}L${this.wide - 4} ${top - high * 0.45}L${this.wide - half * 0.6} ${top - 4}H${this.wide - 2.2 * half}Z`;
    const y0 = seated ? top : top - high * 0.95, y1 = seated ? this.high - this.band * 0.16 : top - 3;
    return `M${x - w * 0.95} ${y0}H${x + w * 0.95}V${y1}H${x - w * 0.95}Z`;
  }
}
