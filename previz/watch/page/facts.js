// Findings and numbers beside the pictures.

import { byId, fillList, make, say } from "./dom.js";

const WORDS = { fault: "Fault", warning: "Warning", note: "Note" };

export class Facts {
  constructor() {
    this.counted = null;
    this.light = null;
  }

  show(facts) {
    const { findings } = facts;
    fillList(byId("findings"), findings, (finding) =>
      make("li", { class: finding.severity },
        make("b", {}, WORDS[finding.severity]), " ", finding.message, " ",
        make("span", { class: "quiet small" }, finding.source)));
    if (findings.length === 0) byId("findings").replaceChildren(make("li", { class: "note" }, "None."));
    const counts = Object.keys(WORDS)
      .map((kind) => [kind, findings.filter((finding) => finding.severity === kind).length])
      .filter(([, count]) => count > 0)
      .map(([kind, count]) => `${count} ${kind}${count === 1 ? "" : "s"}`)
      .join(", ");
    byId("finding-count").textContent = counts;
    if (this.counted !== null && this.counted !== counts) say(`Findings: ${counts || "none"}.`);
    this.counted = counts;
    // Meters are read last: until then those of the version before stand there, marked as such.
    const old = facts.light === null;
    if (!old) this.light = facts.light;
    this.numbers(facts.cameras, old);
  }

  numbers(cameras, old) {
    const rows = [
      ...Object.entries(this.light?.faces ?? {}).map(([name, lines]) => [null, `Light on ${name}`, [], lines]),
      ...Object.entries(cameras).map(([name, found]) => [name, `Camera ${name}`, found, this.light?.cameras[name] ?? []]),
    ];
    byId("numbers").replaceChildren(...rows.map(([camera, title, pairs, lines]) =>
      make("section", { "data-camera": camera }, make("h3", {}, title),
        make("dl", {}, ...pairs.flatMap(([key, text]) => [make("dt", {}, key), make("dd", {}, text)])),
        make("ul", { class: old ? "lines old" : "lines" }, ...lines.map((line) => make("li", {}, line))))));
    if (this.light === null) {
      byId("numbers").append(make("p", { class: "quiet small" }, "The light is read once nothing moves."));
    } else if (old) {
      byId("numbers").append(make("p", { class: "quiet small" },
        "Lux and stops are of the version before; they are read once nothing moves."));
    }
  }
}
