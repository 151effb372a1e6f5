// figures.js - the ten figures drawn with one stroke, so that they are alike on every tablet. A dead number does not
// look like one: dotted and struck out.
//
// Grid of 64 x 100 a figure, advance 77; the point takes 34. The stroke grows as the aim comes near.
import { fillLive, svg } from "./draw.js";
import { grams } from "./words.js";

const paths = {
  0: "M32 8C15 8 9 20 9 38V62C9 80 15 92 32 92S55 80 55 62V38C55 20 49 8 32 8Z",
  1: "M10 26L35 8V92M12 92H58",
  2: "M9 29C9 15 18 8 31 8C45 8 54 16 54 29C54 41 46 48 38 56L10 92H56",
  3: "M9 8H53L29 41C45 41 54 52 54 66C54 82 44 92 30 92C19 92 11 87 7 77",
  4: "M37 6L9 69H59M45 40V94",
  5: "M51 8H17L13 45C18 40 24 38 30 38C45 38 54 49 54 64C54 81 44 92 29 92C18 92 11 87 7 78",
  6: "M45 6C23 13 9 38 9 62C9 81 18 92 32 92S55 82 55 66S46 42 32 42C21 42 13 49 10 58",
  7: "M8 8H55L27 94",
  8: "M32 8C20 8 13 16 13 26S20 44 32 44S51 36 51 26S44 8 32 8ZM32 44C17 44 8 54 8 68S17 92 32 92S56 82 56 68S47 44 32 44Z",
  9: "M19 94C41 87 55 62 55 38C55 19 46 8 32 8S9 18 9 34S18 58 32 58C43 58 51 51 54 42",
  "\u2212": "M12 50H52",
  "?": "M14 26C16 14 22 8 32 8C44 8 52 16 52 28C52 44 32 44 32 62",
};

const ADVANCE = 77, POINT = 34, HIGH = 100;

// An SVG of a number's text. room: so many figures before the point have a place, so that the point does not move as the
// number grows shorter. small: so many last figures are half as high, since they are finer than the tolerance. dead:
// dotted; struck: and struck out; faded: thin. stroke: 13 pour, 15 ease, 17 stop.
export function figures(text, { room = 0, small = 0, dead = false, struck = true, faded = false, stroke = 13 } = {}) {
  const group = svg("g", { fill: "none", stroke: "currentColor", "stroke-width": dead ? 5.5 : faded ? 7 : stroke,
    "stroke-dasharray": dead ? "1 9" : null, "stroke-linecap": dead ? "round" : "butt", "stroke-linejoin": "miter",
      "stroke-miterlimit": 6 });
  const whole = text.search(/[.,]|$/), big = text.length - small;
  const first = 6 + Math.max(0, room - whole) * ADVANCE;
  let x = first;
  [...text].forEach((c, i) => {
    const scale = i >= big ? 0.5 : 1, base = i >= big ? HIGH * 0.47 : 0;
    const at = `translate(${x} ${base}) scale(${scale})`;
    if (c === "." || c === ",") {
      group.append(svg("g", { transform: at }, point(c, dead, faded)));
      x += POINT * scale;
    } else {
      group.append(svg("path", { d: paths[c] ?? paths["?"], transform: at }));
      x += ADVANCE * scale;
    }
  });
  const wide = Math.max(x, 40);
  const strike = dead && struck && svg("path", { d: `M${first - 10} 50H${wide}`, stroke: "currentColor", "stroke-width": 6 });
  return svg("svg", { class: `figures${dead ? " dead" : faded ? " faded" : ""}`, viewBox: `-6 -4 ${wide + 6} ${HIGH + 12}`, role: "img",
    "aria-label": text,
    preserveAspectRatio: "xMinYMax meet" }, group, strike || null);
}

// What stands on the pan, into its box. Where the scale says no weight there are dashes in its place, struck out where it
// says nothing at all: neither looks like a number.
export function fillWeight(app, box, room = 0) {
  const weight_g = app.weight?.weight_g ?? null;
  const text = weight_g === null ? grams(0).replace(/\d/g, "\u2212") : grams(weight_g);
  fillFigures(box, text, { dead: app.silent || weight_g === null, struck: !app.limited, faded: !app.fresh, room });
}

// A number's figures into a box, made anew only where they are others.
export const fillFigures = (box, text, look) => fillLive(box, `${text} ${JSON.stringify(look)}`, () => [figures(text, look)]);

function point(c, dead, faded) {
  if (c === ",") return svg("path", { d: "M16 78V88L8 106", "stroke-linecap": "round" });
  if (dead) return svg("circle", { cx: 13, cy: 86, r: 6, "stroke-dasharray": "none" });
  return svg("circle", { cx: 13, cy: 86, r: faded ? 6 : 10, fill: "currentColor", stroke: "none" });
}

// The shapes of the day signals: cone down, diamond, ball, tooth in its notch, cone up, two balls.
const shapes = {
  pour: "M4 8H96L50 92Z",
  ease: "M50 2L92 50L50 98L8 50Z",
  stop: "M50 4A46 46 0 1 1 49.9 4Z",
  ok: "M0 20H24V76H76V20H100V92H0ZM34 20H66V66H34Z",
  over: "M50 8L96 92H4Z",
  lifted: "M50 2A23 23 0 1 1 49.9 2ZM50 52A23 23 0 1 1 49.9 52Z",
  none: "M50 2A23 23 0 1 1 49.9 2ZM50 52A23 23 0 1 1 49.9 52Z",
};
export const shape = (cue) => svg("svg", { class: "shape", viewBox: "0 0 100 100", "aria-hidden": "true" },
  svg("path", { d: shapes[cue] ?? "", fill: "currentColor" }));
