// ruler.js - the rule under the open line: graduated by ratio, so that a tooth that walks at a steady pace is a pour
// that brakes rightly. The notch is the tolerance.
//
// x = notch - sign(r) log2(1 + |r| / t) U, with r what is to go and t the tolerance, both grams; inside the notch the
// tooth moves linearly and sits low (screen/spec: ruler).
import { svg } from "./draw.js";
import { plain } from "./words.js";

// 0.001 to 90,000 g in order; main: 1, 2 and 5.
const numbers = [];
for (let e = -3; e <= 4; e++)
  for (let m = 1; m <= 9; m++) numbers.push({ g: Number(`${m}e${e}`), main: [1, 2, 5].includes(m) });

const DROP_MS = 120; // how long the tooth takes to drop into the notch

export class Ruler {
  // name: two rulers of one page need two names for what they are hatched with.
  constructor(name) {
    this.svg = svg("svg", { class: "ruler", "aria-hidden": "true" });
    this.hatch = `hatch-${name}`;
    this.aim = null;
  }

  // Lays the ruler into a box of the page; marks are drawn anew only where aim, tolerance or size are others. The size is
  // told by the browser: to ask for it at each weight would lay the page out twice.
  fit(box, aim, tolerance, dead) {
    if (this.box !== box) {
      this.watch?.disconnect();
      Object.assign(this, { box, size: [box.clientWidth, box.clientHeight], watch: new ResizeObserver(() => this.resized()) });
      this.watch.observe(box);
    }
    const [wide, high] = this.size, key = [aim, tolerance, wide, high, dead].join();
    if (key !== this.key && wide > 0) {
      this.set(aim, tolerance, wide, high, dead);
      this.key = key;
    }
    if (box.firstChild !== this.svg) box.replaceChildren(this.svg);
  }

  resized() {
    this.size = [this.box.clientWidth, this.box.clientHeight];
    const { aim, t, dead, at } = this;
    if (aim === null || !this.box.isConnected) return;
    this.fit(this.box, aim, t, dead);
    if (at) this.move(...at);
  }

  // Draws marks for an aim and a tolerance, grams, into so many px.
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
    const ink = dead ? `url(#${this.hatch})` : "currentColor";
    const left = Math.max(0, this.notch - this.half), right = Math.min(wide, this.notch + this.half);
    this.svg.replaceChildren(
      svg("defs", {}, svg("pattern", { id: this.hatch, width: 20, height: 20, patternUnits: "userSpaceOnUse",
        patternTransform: "rotate(45)" },
        svg("rect", { width: 9, height: 20, fill: "var(--line)" }))),
      svg("rect", { x: 0, y: top, width: left, height: this.band, fill: ink }),
      svg("rect", { x: right, y: top, width: wide - right, height: this.band, fill: ink }),
      svg("rect", { x: left, y: high - this.band * 0.12, width: right - left, height: this.band * 0.12,
        fill: dead ? "var(--line)" : "currentColor" }),
      svg("rect", { x: this.notch - 1.5, y: high - this.band * 0.3, width: 3, height: this.band * 0.3, fill: "currentColor" }),
      ...(dead ? [] : this.marks(top)));
    this.tooth = svg("path", { class: "tooth", "fill-rule": "evenodd", fill: dead ? "none" : "currentColor",
      stroke: dead ? "var(--line)" : "none", "stroke-width": 4, "stroke-dasharray": "8 8" });
    this.ahead = svg("path", { class: "ahead", fill: "none", stroke: "currentColor", "stroke-width": 4, "stroke-dasharray": "10 7" });
    this.svg.append(this.ahead, this.tooth);
  }

  x(r) {
    const by = Math.abs(r) <= this.t ? (r / this.t) * this.half : Math.sign(r) * Math.log2(1 + Math.abs(r) / this.t) * this.u;
    return this.notch - by;
  }

  // 1, 2, 5 engraved in grams where there is room, their neighbours as short marks.
  marks(top) {
    const out = [];
    const mark = (x, long) => out.push(svg("rect",
      { x: x - 1.2, y: top, width: 2.4, height: this.band * (long ? 0.33 : 0.18), fill: "var(--over-ink)" }));
    let marked = this.notch - this.half, engraved = Infinity;
    for (const { g, main } of numbers) {
      const x = this.x(g);
      if (x < 2) break;
      if (g <= this.t || marked - x < this.band * 0.16) continue;
      const room = this.band * (plain(g).length * 0.24 + 0.35);
      const long = main && engraved - x > room && this.notch - this.half - x > room * 0.4;
      mark(x, long);
      marked = x;
      if (!long || x < room * 0.5) continue;
      out.push(this.text(plain(g), x));
      engraved = x;
    }
    const past = numbers.find(({ g, main }) => main && g > this.t * 1.2
      && this.wide - this.x(-g) < (this.wide - this.notch - this.half) * 0.7);
    if (past && this.x(-past.g) < this.wide - this.band * 0.4) {
      mark(this.x(-past.g), true);
      out.push(this.text(`+${plain(past.g)}`, this.x(-past.g)));
    }
    return out;
  }

  text(what, x) {
    const t = svg("text", { x, y: this.high - this.band * 0.14, "text-anchor": "middle", fill: "var(--over-ink)", class: "engraved" });
    t.style.fontSize = `${this.band * 0.42}px`;
    t.textContent = what;
    return t;
  }

  // Where the weight is, and where it will land; landing null: nothing falls. Off the right edge it is an arrow.
  move(r, landing) {
    this.at = [r, landing];
    if (this.aim === null || r === null) {
      this.tooth?.setAttribute("d", "");
      this.ahead?.setAttribute("d", "");
      return;
    }
    this.tooth.setAttribute("d", this.shape(r));
    this.ahead.setAttribute("d", landing === null || Math.abs(landing - r) < this.t / 4 ? "" : this.shape(landing));
    this.drop(Math.abs(r) <= this.t);
  }

  // The tooth falls into the notch when the weight comes on aim.
  drop(seated) {
    if (seated && this.seated === false && !matchMedia("(prefers-reduced-motion: reduce)").matches)
      this.tooth.animate([{ transform: `translateY(${-this.band * 0.8}px)` }, { transform: "none" }], DROP_MS);
    this.seated = seated;
  }

  // A block on the ruler's edge, low in the notch when on aim; past the right edge an arrow that points on.
  shape(r) {
    const half = this.half * 0.65, top = this.high - this.band, high = top - 4;
    const seated = Math.abs(r) <= this.t;
    const x = this.x(r), w = half * 0.95;
    if (x + w > this.wide) {
      const back = this.wide - 2.2 * half, neck = this.wide - half * 0.6;
      return `M${back} ${top - high * 0.95}H${neck}L${this.wide - 4} ${top - high * 0.5}L${neck} ${top - 3}H${back}Z`;
    }
    const left = Math.max(x - w, -w * 0.6);
    const [y0, y1] = seated ? [top, this.high - this.band * 0.16] : [top - high * 0.95, top - 3];
    const index = this.dead ? "" : `M${left + w - 1.5} ${(y0 + y1) / 2}h3V${y1}h-3Z`; // a line engraved at its middle
    return `M${left} ${y0}H${left + 2 * w}V${y1}H${left}Z${index}`;
  }
}
