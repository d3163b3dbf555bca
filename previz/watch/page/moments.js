// Two moments that are kept, and flicked between.

import { byId, say } from "./dom.js";

export class Moments {
  constructor(pictures) {
    this.pictures = pictures;
    this.kept = { now: null };
    this.radios = [...document.querySelectorAll("#moments input")];
    for (const radio of this.radios) {
      radio.addEventListener("change", () => pictures.flick(this.kept[radio.value]));
    }
    for (const name of ["first", "second"]) {
      byId(`keep-${name}`).addEventListener("click", () => this.keep(name));
    }
  }

  allow() {
    for (const name of ["first", "second"]) byId(`keep-${name}`).disabled = false;
  }

  keep(name) {
    this.kept[name] = this.pictures.keep(name === "first" ? "First" : "Second");
    const radio = this.radios.find((one) => one.value === name);
    radio.disabled = false;
    if (radio.checked) this.pictures.flick(this.kept[name]);
    say(`Kept as the ${name} moment.`);
  }
}
