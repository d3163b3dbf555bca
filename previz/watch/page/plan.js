// The plan of the room: north up, metres; cameras are dragged, or moved by the arrow keys.

import { byId, draw, say } from "./dom.js";

const STEP_M = 0.05;
const STRIDE_M = 0.5;
const MARGIN_M = 0.35;
const MARK_PX = 8;
const TOUCH_PX = 16;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

const ring = (points) => points.map(([x, y]) => `${x},${-y}`).join(" ");
const place = ([x, y]) =>
  `${Math.abs(x).toFixed(2)} m ${x < 0 ? "west" : "east"}, ${Math.abs(y).toFixed(2)} m ${y < 0 ? "south" : "north"}`;

export class Plan {
  // places: camera -> its control for the place; show(camera): look at it large.
  constructor(turning, show) {
    this.turning = turning;
    this.show = show;
    this.host = byId("plan");
    this.still = draw("g");
    this.moving = draw("g");
    this.ways = draw("g");
    this.lens = draw("circle", { class: "now mark" });
    this.host.append(this.still, this.ways, this.moving);
    this.marks = new Map();
    this.places = {};
    this.dragged = null;
    new ResizeObserver(() => this.sized()).observe(this.host);
  }

  // moves: name -> {camera, path}: the ways of their lenses.
  draw(plan, controls, moves) {
    this.plan = plan;
    for (const [name, list] of Object.entries(controls)) {
      this.places[name] = list.find((control) => control.path.endsWith(".place.at_m"));
    }
    this.frame(plan, Object.values(moves).flatMap(({ path }) => path));
    this.ways.replaceChildren(...Object.entries(moves).filter(([, { path }]) => path.length > 1).map(([name, { camera, path }]) =>
      draw("polyline", { class: "way", points: ring(path), "data-move": name }, draw("title", {}, `Move ${name} of camera ${camera}`))));
    const key = JSON.stringify({ ...plan, cameras: null });
    if (key !== this.key) {
      this.key = key;
      this.still.replaceChildren(...this.standing(plan));
    }
    this.cameras(plan.cameras);
    this.sized();
  }

  // Where the lens of a move is that is shown; null: none is.
  now(at) {
    if (at === null) {
      this.lens.remove();
      return;
    }
    this.lens.setAttribute("cx", at[0]);
    this.lens.setAttribute("cy", -at[1]);
    if (!this.lens.isConnected) {
      this.host.append(this.lens);
      this.sized();
    }
  }

  frame(plan, ways) {
    const all = [...ways, ...plan.walls.flat(), ...plan.floor, ...Object.values(plan.cameras).map((one) => one.at)];
    const xs = all.map(([x]) => x);
    const ys = all.map(([, y]) => -y);
    const box = [Math.min(...xs) - MARGIN_M, Math.min(...ys) - MARGIN_M];
    box.push(Math.max(...xs) + MARGIN_M - box[0], Math.max(...ys) + MARGIN_M - box[1]);
    // While a camera is dragged the map stands still under the hand.
    if (!this.dragged) this.host.setAttribute("viewBox", box.map((v) => v.toFixed(3)).join(" "));
  }

  standing(plan) {
    return [
      draw("polygon", { class: "floor", points: ring(plan.floor) }),
      ...plan.walls.map((wall) => draw("polygon", { class: "wall", points: ring(wall) })),
      ...plan.openings.map((one) => draw("polygon", { class: `opening ${one.kind}`, points: ring(one.outline) }, draw("title", {}, one.name))),
      ...plan.furniture.map((outline) => draw("polygon", { class: "furniture", points: ring(outline) })),
      ...Object.entries(plan.people).map(([name, one]) => this.person(name, one)),
      ...Object.entries(plan.lights).map(([name, one]) => this.light(name, one)),
    ];
  }

  person(name, { at, facing, outline }) {
    const [x, y] = [at[0], -at[1]];
    return draw("g", { class: "person" },
      draw("title", {}, name),
      draw("polygon", { points: ring(outline) }),
      draw("line", { x1: x, y1: y, x2: x + 0.32 * facing[0], y2: y - 0.32 * facing[1] }),
      draw("circle", { cx: x, cy: y, r: 0.1 }),
      this.word(name, at));
  }

  light(name, { at, aim, lit }) {
    return draw("g", { class: lit ? "light lit" : "light" },
      draw("title", {}, name),
      draw("line", { x1: at[0], y1: -at[1], x2: at[0] + 0.6 * (aim[0] - at[0]), y2: -(at[1] + 0.6 * (aim[1] - at[1])) }),
      draw("circle", { class: "mark", cx: at[0], cy: -at[1] }),
      this.word(name, at));
  }

  word(text, at) {
    return draw("text", { class: "word", x: at[0], y: -at[1] }, text);
  }

  cameras(cameras) {
    for (const [name, mark] of [...this.marks]) {
      if (name in cameras) continue;
      mark.group.remove();
      this.marks.delete(name);
    }
    for (const [name, camera] of Object.entries(cameras)) {
      if (!this.marks.has(name)) this.marks.set(name, this.mark(name));
      const mark = this.marks.get(name);
      mark.camera = camera;
      this.moving.append(...(mark.group.isConnected ? [] : [mark.group]));
      if (this.dragged !== name) this.put(name, camera.at);
    }
  }

  mark(name) {
    const view = draw("path", { class: "view" });
    const group = draw("g", {
      class: "camera", tabindex: 0, role: "button", "data-camera": name,
      "aria-roledescription": "camera on the plan", "aria-describedby": "plan-help",
    }, view, draw("circle", { class: "touch" }), draw("circle", { class: "mark" }), draw("text", { class: "letter" }, name));
    group.addEventListener("pointerdown", (event) => this.grab(name, event));
    group.addEventListener("keydown", (event) => this.key_(name, event));
    group.addEventListener("keyup", (event) => { if (event.key in ARROWS) this.turning.settle(); });
    return { group, view };
  }

  // Draw a camera at a place: its mark, and its angle of view out to where it is focused.
  put(name, [x, y]) {
    const { group, view, camera } = this.marks.get(name);
    group.setAttribute("transform", `translate(${x} ${-y})`);
    group.setAttribute("aria-label", `Camera ${name}, ${place([x, y])}`);
    const half = Math.min(80, camera.angle_deg / 2);
    const reach = Math.min(12, camera.focus_m * 1.15) / Math.cos((half * Math.PI) / 180);
    const side = (turn) => {
      const angle = ((camera.turn_deg + turn) * Math.PI) / 180;
      return `${(reach * Math.cos(angle)).toFixed(3)} ${(-reach * Math.sin(angle)).toFixed(3)}`;
    };
    view.setAttribute("d", `M 0 0 L ${side(-half)} L ${side(half)} Z`);
    this.marks.get(name).at = [x, y];
  }

  // Marks and letters keep their size on the screen, whatever the scale of the map.
  sized() {
    const matrix = this.host.getScreenCTM();
    if (!matrix || !matrix.a) return;
    const metre = 1 / matrix.a;
    this.host.style.setProperty("--px", `${metre}px`);
    for (const circle of this.host.querySelectorAll("circle.mark")) circle.setAttribute("r", MARK_PX * metre * (circle.closest(".light") ? 0.55 : 1));
    for (const circle of this.host.querySelectorAll("circle.touch")) circle.setAttribute("r", TOUCH_PX * metre);
    for (const text of this.host.querySelectorAll("text")) {
      text.setAttribute("font-size", 11 * metre);
      text.setAttribute("dy", 4 * metre);
    }
    for (const text of this.host.querySelectorAll(".word")) this.findRoom(text, metre);
  }

  // A name stands where it is farthest from every mark and name: over, under or beside its own.
  findRoom(text, metre) {
    const home = [Number(text.getAttribute("x")), Number(text.getAttribute("y"))];
    const aside = 12 + 3.2 * text.textContent.length;
    const taken = [
      ...Object.values(this.plan.cameras), ...Object.values(this.plan.people), ...Object.values(this.plan.lights),
    ].map(({ at }) => [at[0], -at[1]]).filter((at) => Math.hypot(at[0] - home[0], at[1] - home[1]) > 0.01);
    const room = ([dx, dy]) => Math.min(Infinity, ...taken.map(([x, y]) =>
      Math.hypot((home[0] + dx * metre - x) / 2, home[1] + dy * metre - y)));
    const ways = [[0, -14], [0, 15], [aside, 0], [-aside, 0]];
    const [dx, dy] = ways.reduce((best, way) => (room(way) > 1.15 * room(best) ? way : best));
    text.setAttribute("transform", `translate(${dx * metre} ${dy * metre})`);
  }

  move(name, at) {
    const rounded = at.map((value) => Math.round(value * 100) / 100);
    this.put(name, rounded);
    const control = this.places[name];
    this.turning.turn({ ...(control.also ?? {}), [control.path]: rounded });
    return rounded;
  }

  grab(name, event) {
    if (event.button !== 0) return;
    event.preventDefault();
    const { group, at } = this.marks.get(name);
    group.focus({ preventScroll: true });
    const start = this.metres(event);
    this.dragged = name;
    group.setPointerCapture(event.pointerId);
    const dragged = (moved) => {
      const now = this.metres(moved);
      this.move(name, [at[0] + now[0] - start[0], at[1] + now[1] - start[1]]);
    };
    const dropped = () => {
      group.removeEventListener("pointermove", dragged);
      group.removeEventListener("pointerup", dropped);
      group.removeEventListener("pointercancel", dropped);
      this.dragged = null;
      this.turning.settle();
      say(`Camera ${name}, ${place(this.marks.get(name).at)}.`);
    };
    group.addEventListener("pointermove", dragged);
    group.addEventListener("pointerup", dropped);
    group.addEventListener("pointercancel", dropped);
  }

  metres(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.host.getScreenCTM().inverse());
    return [point.x, -point.y];
  }

  key_(name, event) {
    if (event.key === "Enter") {
      this.show(name);
      return;
    }
    const way = ARROWS[event.key];
    if (!way || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    const step = event.shiftKey ? STRIDE_M : STEP_M;
    const { at } = this.marks.get(name);
    say(place(this.move(name, [at[0] + step * way[0], at[1] + step * way[1]])));
  }
}
