// Small helpers for the page's tree.

const SVG = "http://www.w3.org/2000/svg";

export const byId = (id) => document.getElementById(id);

// An element with properties, attributes and children: make("p", {class: "quiet"}, "text").
export function make(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

export function draw(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value !== null && value !== false) element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children);
  return element;
}

// Texts into a list, only where they are others: what stands still keeps its place for a reader.
export function fillList(list, items, row) {
  const key = JSON.stringify(items);
  if (list.dataset.key === key) return false;
  list.dataset.key = key;
  list.replaceChildren(...items.map(row));
  return true;
}

// Elements in this order behind the first `skip`; one that stands right is not touched, so that it
// keeps focus and whatever is being done with it.
export function inOrder(host, elements, skip = 0) {
  elements.forEach((element, at) => {
    const there = host.children[at + skip];
    if (there !== element) host.insertBefore(element, there ?? null);
  });
}

// Said by a screen reader. The same text twice is said twice.
export function say(text, urgent = false) {
  const region = byId(urgent ? "urgent" : "live");
  region.textContent = "";
  setTimeout(() => { region.textContent = text; }, 60);
}
