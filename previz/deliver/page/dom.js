"use strict";
// Elements found and made.

const byId = (id) => document.getElementById(id);

function made(tag, given = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(given)) {
    if (key in element && key !== "list") element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...inside);
  return element;
}

function read(id) {
  return JSON.parse(byId(id).textContent);
}

// Says something to a screen reader, even the same twice.
function announce(text) {
  const live = byId("live");
  live.textContent = live.textContent === text ? `${text} ` : text;
}
