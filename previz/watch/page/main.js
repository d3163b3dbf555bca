// The page: puts the parts together and hands each what it is told.

import { Controls } from "./controls.js";
import { byId, fillList, make, say } from "./dom.js";
import { Facts } from "./facts.js";
import { Link, Turning } from "./link.js";
import { Moments } from "./moments.js";
import { Moves } from "./moves.js";
import { Pictures } from "./pictures.js";
import { Plan } from "./plan.js";

let turned = [];
let lost = false;
let problemCount = 0;

const pictures = new Pictures((cameras, width) => look(cameras, width), chosen);
const moments = new Moments(pictures);
const facts = new Facts();

const hear = {
  told: (message) => hearing[message.kind]?.(message),
  async picture(head, blob) {
    await pictures.receive(head, blob);
    moments.allow();
  },
  lost() {
    if (!lost) say("The server is not there.", true);
    lost = true;
    byId("lost").hidden = false;
    document.body.dataset.link = "lost";
    works("", null);
  },
  found() {
    byId("lost").hidden = true;
    document.body.dataset.link = "found";
    pictures.startOver();
    moves.told({ move: null });
    if (lost) {
      // What was only turned lived in the server that is gone.
      say(turned.length ? "The server is back. What was not written into the file is gone." : "The server is back.");
      lost = false;
    }
    tellView();
  },
};

let view = { kind: "view", cameras: [], width: 640 };
const link = new Link(hear);
const turning = new Turning(link);
const controls = new Controls(turning, (paths) => link.send({ kind: "forget", paths }));
const plan = new Plan(turning, (camera) => pictures.show(camera));
const moves = new Moves(
  (move, at_s, running) => link.send({ kind: "show", move, at_s, running }), pictures, (at) => plan.now(at));

function look(cameras, width) {
  const wanted = { kind: "view", cameras, width };
  if (JSON.stringify(wanted) === JSON.stringify(view)) return;
  view = wanted;
  tellView();
}

// What nobody sees is neither drawn nor traced.
function tellView() {
  link.send(document.hidden ? { ...view, width: 0 } : view);
}

document.addEventListener("visibilitychange", tellView);

// Beside one large picture stand the controls and numbers of that camera alone.
function chosen(camera) {
  for (const block of document.querySelectorAll("#camera-controls > [data-name], #numbers > [data-camera]")) {
    const name = block.dataset.name ?? block.dataset.camera;
    block.hidden = camera !== null && name !== camera;
  }
}

function works(text, done) {
  byId("work-text").textContent = text;
  const bar = byId("work-done");
  bar.hidden = done === null;
  if (done !== null) bar.value = done;
}

const hearing = {
  scene(scene) {
    byId("title").textContent = scene.title;
    document.title = `${scene.title} – previz watch`;
    byId("file").textContent = scene.file;
    pictures.arrange(scene.cameras, scene.version);
    controls.show(scene.controls);
    controls.mark(turned);
    chosen(pictures.only);
    plan.draw(scene.plan, scene.controls.cameras, scene.moves);
    moves.arrange(scene.moves);
  },

  state(state) {
    turned = state.turned;
    controls.mark(turned);
    byId("undo").disabled = !state.can_undo;
    byId("redo").disabled = !state.can_redo;
    byId("write").disabled = !state.can_write;
    byId("let-go").disabled = turned.length === 0;
    lines("problems", state.problems);
    lines("refused", state.refused);
    if (state.problems.length > 0 && problemCount === 0) {
      say(`The file does not hold: ${state.problems[0]}`, true);
    } else if (state.problems.length === 0 && problemCount > 0) say("The file holds again.");
    problemCount = state.problems.length;
  },

  playing: (shown) => moves.told(shown),

  facts(found) {
    facts.show(found);
    chosen(pictures.only);
  },
  work: ({ text, done_pct }) => works(text, done_pct),
  said: ({ text, urgent }) => {
    say(text, urgent);
    notice(text);
  },

  lines({ lines: changed }) {
    byId("writing-lines").replaceChildren(...changed.map((line) =>
      make("span", { class: line.startsWith("+") ? "added" : line.startsWith("-") ? "removed" : "" }, `${line}\n`)));
    byId("writing").showModal();
  },
};

function lines(id, texts) {
  byId(id).hidden = texts.length === 0;
  const list = byId(id === "problems" ? "problem-lines" : "refused-lines");
  fillList(list, texts, (text) => make("li", {}, text));
}

let noticed;
function notice(text) {
  works(text, null);
  clearTimeout(noticed);
  noticed = setTimeout(() => { if (byId("work-text").textContent === text) works("", null); }, 4000);
}

byId("undo").addEventListener("click", () => link.send({ kind: "undo" }));
byId("redo").addEventListener("click", () => link.send({ kind: "redo" }));
byId("let-go").addEventListener("click", () => link.send({ kind: "forget", paths: [] }));
byId("write").addEventListener("click", () => link.send({ kind: "preview" }));
byId("writing-no").addEventListener("click", () => byId("writing").close());
byId("writing-yes").addEventListener("click", () => {
  byId("writing").close();
  link.send({ kind: "write" });
});

addEventListener("keydown", (event) => {
  const typing = event.target.matches?.("input[type=number], input[type=text], textarea");
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || typing) return;
  event.preventDefault();
  link.send({ kind: event.shiftKey ? "redo" : "undo" });
});
