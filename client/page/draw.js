// draw.js - elements of the page made from plain values. Knows no state.

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children.flat(3)) if (child !== null && child !== undefined && child !== false) element.append(child);
  return element;
}

// el("p", {class: "foot"}, "text", child...)
export const el = (tag, attributes = {}, ...children) => fill(document.createElement(tag), attributes, children);
export const svg = (tag, attributes = {}, ...children) => fill(document.createElementNS(SVG, tag), attributes, children);

// One line of the formula: margin word, code, name, leader, figure, and what is off.
export function line(margin, code, name, figure, off = "", kind = "") {
  return el("div", { class: `line ${kind}` },
    el("span", { class: "margin" }, margin),
    el("b", { class: "code" }, code),
    el("span", { class: "name" }, name),
    el("span", { class: "leader", "aria-hidden": "true" }),
    el("b", { class: "figure" }, figure),
    el("span", { class: "off" }, off));
}
