// The pictures: every camera at once or one large; what is seen is said under each.

import { byId, inOrder, make } from "./dom.js";

const SETTLED_MS = 150;
// A picture that is older than the scene for longer than this says so.
const OLD_MS = 400;

const how = (samples) =>
  samples === 0 ? "drawn" : `traced, ${samples} ${samples === 1 ? "sample" : "samples"}`;

export class Pictures {
  // wanted(cameras, width_px) is called when other pictures, or another size, are looked at;
  // chosen(camera or null) when one is shown large, or all are.
  constructor(wanted, chosen) {
    this.wanted = wanted;
    this.chosen = chosen;
    this.frames = new Map();
    this.latest = new Map();
    this.only = null;
    this.moment = null;
    this.playing = null;
    this.host = byId("frames");
    this.observer = new ResizeObserver(() => this.askSoon());
    this.observer.observe(this.host);
  }

  // cameras: name -> {aspect, lens}; version: of the scene they are of.
  arrange(cameras, version) {
    this.version = version;
    clearTimeout(this.aging);
    this.aging = setTimeout(() => this.age(), OLD_MS);
    const names = Object.keys(cameras);
    if (this.only && !names.includes(this.only)) this.only = null;
    for (const name of [...this.frames.keys()]) {
      if (names.includes(name)) continue;
      this.frames.get(name).figure.remove();
      this.frames.delete(name);
      this.latest.delete(name);
    }
    for (const name of names) {
      if (!this.frames.has(name)) this.frames.set(name, this.begun(name));
      const { figure, canvas, lens } = this.frames.get(name);
      const { aspect } = cameras[name];
      lens.textContent = cameras[name].lens;
      if (!this.latest.has(name)) {
        canvas.width = 640;
        canvas.height = Math.round(640 / aspect);
      }
      figure.style.setProperty("--aspect", aspect);
    }
    inOrder(this.host, names.map((name) => this.frames.get(name).figure));
    this.buttons(names);
    this.lay();
  }

  // A frame for a camera; its picture may have come before the scene was told.
  begun(name) {
    const frame = this.frame(name);
    if (this.latest.has(name)) queueMicrotask(() => this.paint(name, this.latest.get(name), ""));
    return frame;
  }

  frame(name) {
    const canvas = make("canvas", { role: "img", "aria-label": `Camera ${name}, no picture yet` });
    const told = make("span", { class: "how" }, "no picture yet");
    const lens = make("span", { class: "lens" });
    const figure = make("figure", { "data-camera": name }, canvas,
      make("figcaption", {}, make("b", {}, name), lens, told));
    canvas.addEventListener("click", () => this.show(this.only === name ? null : name));
    return { figure, canvas, told, lens };
  }

  age() {
    if (this.moment) return;
    for (const [name, entry] of this.latest) {
      const frame = this.frames.get(name);
      if (frame && entry.version < this.version) frame.told.textContent = `${how(entry.samples)}, before the last change`;
    }
  }

  buttons(names) {
    const host = byId("cameras");
    const wanted = names.length > 1 ? [null, ...names] : [];
    const key = JSON.stringify(wanted);
    if (host.dataset.key !== key) {
      host.dataset.key = key;
      host.replaceChildren(...wanted.map((name) =>
        make("button", { type: "button", "data-camera": name ?? "", onclick: () => this.show(name) },
          name ?? "All")));
    }
  }

  show(name) {
    this.only = name;
    this.lay();
  }

  lay() {
    const shown = [...this.frames].filter(([name]) => !this.only || name === this.only);
    for (const [name, { figure }] of this.frames) figure.hidden = !!this.only && name !== this.only;
    this.chosen(this.only);
    this.host.dataset.count = String(Math.min(shown.length, 7));
    for (const button of byId("cameras").children) {
      button.setAttribute("aria-pressed", String(button.dataset.camera === (this.only ?? "")));
    }
    this.ask();
  }

  askSoon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), SETTLED_MS);
  }

  ask() {
    const shown = [...this.frames].filter(([, { figure }]) => !figure.hidden);
    if (shown.length === 0) return;
    const widest = Math.max(...shown.map(([, { canvas }]) => canvas.clientWidth));
    if (widest > 0) {
      this.wanted(this.only ? [this.only] : [], Math.ceil(widest * devicePixelRatio));
    }
  }

  // The server began anew: its versions count from one again.
  startOver() {
    this.version = 0;
    for (const entry of this.latest.values()) entry.version = 0;
  }

  // A move is about to be shown: its camera must be among the pictures.
  watch(camera) {
    if (this.only && this.only !== camera) this.show(camera);
  }

  // The move that is shown in place of its camera, at a moment; null: none is.
  play(move, camera, at) {
    const before = this.playing;
    this.playing = move === null ? null : { move, camera, at };
    if (before && before.camera !== camera && this.latest.has(before.camera)) {
      this.paint(before.camera, this.latest.get(before.camera), "");
    }
  }

  // A frame of a move stands nowhere but on the screen.
  async receiveFrame(head, blob) {
    this.frameSeen = [head, blob];
    const bitmap = await createImageBitmap(blob);
    const frame = this.frames.get(head.camera);
    if (frame && this.playing?.move === head.move && !this.moment) {
      const { canvas, told } = frame;
      this.put(canvas, bitmap);
      told.textContent = `move ${head.move}, ${this.playing.at.toFixed(1)} s, drawn`;
      canvas.setAttribute("aria-label", `Camera ${head.camera}, move ${head.move}`);
      canvas.dataset.frames = String(Number(canvas.dataset.frames ?? 0) + 1);
    }
    bitmap.close();
  }

  put(canvas, bitmap) {
    if (canvas.width !== bitmap.width || canvas.height !== bitmap.height) {
      canvas.width = bitmap.width;
      canvas.height = bitmap.height;
    }
    canvas.getContext("2d", { alpha: false }).drawImage(bitmap, 0, 0);
  }

  async receive(head, blob) {
    if (head.move) return this.receiveFrame(head, blob);
    const before = this.latest.get(head.camera);
    if (before && (before.version > head.version ||
        (before.version === head.version && before.sureness > head.sureness))) return;
    const entry = {
      blob, version: head.version, samples: head.samples, sureness: head.sureness,
    };
    this.latest.set(head.camera, entry);
    if (!this.moment) await this.paint(head.camera, entry, "");
  }

  async paint(camera, entry, when) {
    const frame = this.frames.get(camera);
    if (!frame) return;
    const bitmap = await createImageBitmap(entry.blob);
    const { canvas, told } = frame;
    const wanted = this.moment ? this.moment.pictures.get(camera) : this.latest.get(camera);
    const played = !this.moment && this.playing?.camera === camera;
    if (wanted === entry && !played) {
      this.put(canvas, bitmap);
      told.textContent = when ? `${when}, ${how(entry.samples)}` : how(entry.samples);
      canvas.setAttribute("aria-label", `Camera ${camera}, ${told.textContent}`);
      canvas.dataset.version = String(entry.version);
      canvas.dataset.samples = String(entry.samples);
    }
    bitmap.close();
  }

  // What is seen now, to be flicked back to: {pictures, name, at}.
  keep(name) {
    const at = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });
    return { name, at, pictures: new Map(this.latest) };
  }

  async flick(moment) {
    this.moment = moment;
    const seen = moment ? moment.pictures : this.latest;
    const when = moment ? `${moment.name} moment, kept ${moment.at}` : "";
    await Promise.all([...seen].map(([camera, entry]) => this.paint(camera, entry, when)));
    if (!moment && this.playing && this.frameSeen) await this.receiveFrame(...this.frameSeen);
  }
}
