// Sliders, lists and switches, from what the server says can be turned.

import { byId, inOrder, make } from "./dom.js";

const GROUPS = [
  ["cameras", "camera-controls", (name) => `Camera ${name}`],
  ["lights", "light-controls", (name) => name],
  ["windows", "window-controls", (name) => name],
];

export class Controls {
  constructor(turning, forget) {
    this.turning = turning;
    this.forget = forget;
    this.rows = new Map();
  }

  show(controls) {
    for (const [kind, id, title] of GROUPS) {
      const host = byId(id);
      const names = Object.keys(controls[kind]);
      const blocks = new Map([...host.children].map((block) => [block.dataset.name, block]));
      for (const [name, block] of blocks) if (!names.includes(name)) block.remove();
      for (const name of names) {
        const block = blocks.get(name) ??
          make("fieldset", { "data-name": name }, make("legend", {}, title(name)));
        this.fill(block, controls[kind][name], title(name), 1);
        blocks.set(name, block);
      }
      inOrder(host, names.map((name) => blocks.get(name)));
    }
    this.fill(byId("shared-controls"), controls.shared, "All cameras");
    byId("windows").hidden = Object.keys(controls.windows).length === 0;
  }

  // skip: what stands in the block before its rows.
  fill(block, list, title, skip = 0) {
    const paths = list.map((control) => control.path);
    for (const row of block.querySelectorAll(":scope > .row")) {
      if (!paths.includes(row.dataset.path)) row.remove();
    }
    for (const control of list) {
      const key = JSON.stringify({ ...control, value: null });
      let row = this.rows.get(control.path);
      if (!row || row.key !== key || !row.element.isConnected) {
        const made = this.row(control, title);
        if (row?.element.isConnected) row.element.replaceWith(made.element);
        row = { ...made, key };
        this.rows.set(control.path, row);
      }
      row.set(control.value);
    }
    inOrder(block, paths.map((path) => this.rows.get(path).element), skip);
  }

  // Which rows were turned and are not in the file.
  mark(turned) {
    for (const [path, { element }] of this.rows) {
      const own = turned.includes(path);
      element.classList.toggle("turned", own);
      element.querySelector(".back").disabled = !own;
    }
  }

  row(control, title) {
    const id = `c-${control.path.replaceAll(".", "-")}`;
    const made = kind(control)(control, id, title, this.turning);
    const back = make("button", {
      type: "button", class: "back", disabled: true,
      "aria-label": `${title}, ${control.label}: back to the file`, title: "Back to the file",
      onclick: () => this.forget([control.path, ...Object.keys(control.also ?? {})]),
    }, "↺");
    const label = make("label", { for: id }, control.label);
    const note = control.note ? [make("span", { class: "note quiet small" }, control.note)] : [];
    const element = make("div", { class: "row", "data-path": control.path }, label, ...made.parts, back, ...note);
    return { element, set: made.set };
  }
}

function kind(control) {
  if (control.names) return named;
  if (control.choices) return stepped;
  if (Array.isArray(control.value)) return placed;
  return typeof control.value === "boolean" ? switched : slider;
}

const also = (control, value) => ({ ...(control.also ?? {}), [control.path]: value });

// Digits behind the point that a step has: 0.05 has two.
const digits = (step) => (String(step).split(".")[1] ?? "").length;

function slider(control, id, title, turning) {
  const { low, high, step, unit, label } = control;
  const limits = { min: low, max: high, step };
  const range = make("input", { type: "range", id, ...limits, "aria-label": `${title}, ${label}${unit ? `, ${unit}` : ""}` });
  const number = make("input", { type: "number", ...limits, "aria-label": `${title}, ${label} in figures` });
  let held = false;
  const turn = (value) => turning.turn(also(control, value));
  range.addEventListener("pointerdown", () => { held = true; });
  range.addEventListener("input", () => { number.value = range.value; turn(Number(range.value)); });
  range.addEventListener("change", () => { held = false; turning.settle(); });
  number.addEventListener("change", () => {
    if (number.value === "" || !number.validity || Number.isNaN(number.valueAsNumber)) return;
    const value = Math.min(high, Math.max(low, number.valueAsNumber));
    range.value = value;
    turn(value);
    turning.settle();
  });
  return {
    parts: [range, number, make("span", { class: "unit" }, unit)],
    set(value) {
      if (held) return;
      range.value = value;
      if (document.activeElement !== number) number.value = Number(value).toFixed(digits(step));
    },
  };
}

function stepped(control, id, title, turning) {
  const { choices, unit, label } = control;
  const words = (value) => (unit === "f/" ? `f/${value}` : `${value}${unit}`);
  const range = make("input", { type: "range", id, min: 0, max: choices.length - 1, step: 1, "aria-label": `${title}, ${label}` });
  const told = make("output", { for: id });
  let held = false;
  const tell = () => {
    const text = words(choices[Number(range.value)]);
    told.textContent = text;
    range.setAttribute("aria-valuetext", text);
  };
  range.addEventListener("pointerdown", () => { held = true; });
  range.addEventListener("input", () => { tell(); turning.turn(also(control, choices[Number(range.value)])); });
  range.addEventListener("change", () => { held = false; turning.settle(); });
  return {
    parts: [range, told],
    set(value) {
      if (held) return;
      range.value = Math.max(0, choices.indexOf(value));
      tell();
    },
  };
}

function named(control, id, title, turning) {
  const select = make("select", { id, "aria-label": `${title}, ${control.label}` },
    ...control.names.map(([name, label]) => make("option", { value: name }, label)));
  select.addEventListener("change", () => {
    turning.turn(also(control, select.value));
    turning.settle();
  });
  return { parts: [select], set(value) { select.value = value; } };
}

function switched(control, id, title, turning) {
  const box = make("input", { type: "checkbox", id, "aria-label": `${title}, ${control.label}` });
  box.addEventListener("change", () => {
    turning.turn(also(control, box.checked));
    turning.settle();
  });
  return { parts: [box], set(value) { box.checked = value; } };
}

function placed(control, id, title, turning) {
  const sides = ["east", "north"].map((way, at) => make("input", {
    type: "number", step: control.step, id: at === 0 ? id : `${id}-${way}`,
    "aria-label": `${title}, ${control.label}, metres ${way}`,
  }));
  for (const side of sides) {
    side.addEventListener("change", () => {
      const value = sides.map((one) => one.valueAsNumber);
      if (value.some(Number.isNaN)) return;
      turning.turn(also(control, value));
      turning.settle();
    });
  }
  return {
    parts: [make("span", { class: "pair" }, ...sides), make("span", { class: "unit" }, control.unit)],
    set(value) {
      sides.forEach((side, at) => {
        if (document.activeElement !== side) side.value = value[at].toFixed(2);
      });
    },
  };
}
