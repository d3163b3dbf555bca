// Camera moves: each with a button that plays it, a bar to scrub along it, and one that ends it.

import { byId, inOrder, make, say } from "./dom.js";

const seconds = (value) => `${value.toFixed(1)} s`;

export class Moves {
  // show(move or null, at_s, running) asks for frames; frames: the pictures they are painted on;
  // mark(point or null): where the lens is on the plan.
  constructor(show, frames, mark) {
    this.show = show;
    this.frames = frames;
    this.mark = mark;
    this.host = byId("moves");
    this.bars = new Map();
    this.moves = {};
    this.last = { move: null };
    this.waiting = null;
  }

  arrange(moves) {
    this.moves = moves;
    const names = Object.keys(moves);
    for (const [name, bar] of [...this.bars]) {
      if (names.includes(name)) continue;
      bar.element.remove();
      this.bars.delete(name);
    }
    for (const name of names) {
      if (!this.bars.has(name)) this.bars.set(name, this.bar(name));
      const bar = this.bars.get(name);
      bar.range.max = moves[name].last_s;
      bar.range.step = moves[name].frame_s;
      bar.camera.textContent = `camera ${moves[name].camera}`;
    }
    inOrder(this.host, names.map((name) => this.bars.get(name).element));
    this.host.hidden = names.length === 0;
    if (this.last.move !== null) this.told(this.last);
  }

  bar(name) {
    const play = make("button", { type: "button", class: "play", onclick: () => this.toggle(name) });
    const range = make("input", { type: "range", min: 0, value: 0, "aria-label": `Move ${name}, position` });
    const told = make("output", {}, seconds(0));
    const end = make("button", {
      type: "button", class: "end", disabled: true, onclick: () => this.show(null, 0, false),
      "aria-label": `End move ${name}, back to the camera as it stands`,
    }, "End");
    const camera = make("span", { class: "lens" });
    range.addEventListener("input", () => this.scrub(name, range.valueAsNumber));
    const element = make("div", { class: "move", "data-move": name }, play, make("b", {}, name), camera, range, told, end);
    const bar = { element, play, range, told, end, camera, running: false };
    this.tell(bar, name, 0, false);
    return bar;
  }

  toggle(name) {
    const { range, running } = this.bars.get(name);
    const at = range.valueAsNumber;
    const over = at >= Number(range.max) - Number(range.step) / 2;
    this.ask(name, !running && over ? 0 : at, !running);
  }

  // While the bar is dragged only the newest place is asked for, once a frame of the screen.
  scrub(name, at) {
    const idle = this.waiting === null;
    this.waiting = [name, at];
    if (!idle) return;
    requestAnimationFrame(() => {
      const [wanted, place] = this.waiting;
      this.waiting = null;
      this.ask(wanted, place, false);
    });
  }

  ask(name, at, running) {
    this.frames.watch(this.moves[name].camera);
    this.show(name, Math.max(0, at), running);
  }

  // What the server shows now: a move at a moment, or none.
  told(shown) {
    const { move, at_s, running, at } = shown;
    const before = this.last.move;
    const wasRunning = this.last.running === true;
    this.last = shown;
    for (const [name, bar] of this.bars) {
      if (name === move) this.tell(bar, name, at_s, running);
      else this.tell(bar, name, bar.range.valueAsNumber, false);
      bar.end.disabled = name !== move;
    }
    this.mark(move === null ? null : at);
    this.frames.play(move, this.moves[move]?.camera, at_s);
    if (running && !wasRunning) say(`Move ${move} plays.`);
    else if (move !== null && wasRunning && !running) say(`Move ${move} stands at ${seconds(at_s)}.`);
    else if (move === null && before !== null) say(`Move ${before} ended. The cameras as they stand.`);
  }

  tell(bar, name, at, running) {
    bar.running = running;
    bar.play.textContent = running ? "Pause" : "Play";
    bar.play.setAttribute("aria-label", `${running ? "Pause" : "Play"} move ${name}`);
    if (this.waiting === null) bar.range.value = at;
    bar.range.setAttribute("aria-valuetext", seconds(at));
    bar.told.textContent = seconds(at);
  }
}
