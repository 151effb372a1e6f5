// draw.js - elements of the page made from plain values, and the page brought to them in place. Knows no state.

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    const state = name.startsWith("aria-") && typeof value === "boolean"; // said as a word, or a reader takes it for none
    if (value === null || value === undefined || (value === false && !state)) continue;
    if (name.startsWith("on")) element[name] = value;
    else if (state) element.setAttribute(name, String(value));
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

const lasting = ["data-cue", "data-said"]; // set by live()
const kindOf = (node) => (node.getAttribute?.("class") ?? "").split(" ")[0];
const handlers = ["onclick", "oninput", "onfocus", "onsubmit"];

// Makes `old` what `wanted` is, and keeps every element that both have: a screen comes up to ten times a second, and a
// finger, the focus, a scrolled list and a reader's voice must not lose what they are on. What stands in an element with
// `data-live` belongs to the view's live(), and stays. Returns what then stands in the place of `old`.
export function become(old, wanted) {
  if (old.nodeName !== wanted.nodeName || old.id !== wanted.id || kindOf(old) !== kindOf(wanted)) {
    old.replaceWith(wanted);
    return wanted;
  }
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.data !== wanted.data) old.data = wanted.data;
    return old;
  }
  const live = old.hasAttribute("data-live");
  for (const { name } of [...old.attributes]) if (!wanted.hasAttribute(name) && !lasting.includes(name)) old.removeAttribute(name);
  for (const { name, value } of wanted.attributes) if (old.getAttribute(name) !== value
    && !(live && name === "class")) old.setAttribute(name, value);
  for (const name of handlers) if (old[name] !== wanted[name]) old[name] = wanted[name];
  if ("value" in old && old.tagName === "INPUT" && old.value !== wanted.value) old.value = wanted.value;
  if (!live) becomeAll(old, [...wanted.childNodes]);
  return old;
}

// The same for the children of an element.
export function becomeAll(parent, wanted) {
  const old = [...parent.childNodes];
  wanted.forEach((node, i) => (old[i] ? become(old[i], node) : parent.append(node)));
  for (const extra of old.slice(wanted.length)) extra.remove();
}

// Fills a box of a view's live() where its key is another one: most weights show what the one before showed, and what is
// made anew must be laid out anew. The key stands on what was made, so whoever fills the box otherwise ends it.
export function fillLive(box, key, make) {
  if (!box || box.firstChild?.made === key) return;
  box.replaceChildren(...make());
  if (box.firstChild) box.firstChild.made = key;
}
