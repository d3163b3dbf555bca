// The page of a reviewer: frames one a screen, and what they say of each. What others wrote is
// only ever set as text.
import { marking } from "/page/mark.js";
import { picture } from "/page/picture.js";
import { decide, review } from "/page/talk.js";

const frames = document.getElementById("frames");
const template = document.getElementById("frame");
const SAID = { approved: "this is right", change: "wants a change" };

function said(decision) {
  const item = document.createElement("li");
  const who = decision.own ? "You" : decision.by;
  const older = decision.of_this ? "" : ", of an earlier version";
  const says = decision.own && decision.says === "change" ? "change something" : SAID[decision.says];
  const marked = decision.mark ? " (marked)" : "";
  const head = `${who}, ${decision.at}${older}: ${says}${marked}`;
  item.textContent = decision.comment ? `${head}\n${decision.comment}` : head;
  item.classList.toggle("older", !decision.of_this);
  return item;
}

function outline(box, mark) {
  for (const [side, share] of [["left", mark.x], ["top", mark.y], ["width", mark.width], ["height", mark.height]])
    box.style.setProperty(side, `${100 * share}%`);
  box.hidden = false;
}

function shownIn(section, frame, scene, told) {
  const find = (what) => section.querySelector(what);
  const name = `${scene.title}, camera ${frame.camera}`;
  find("h2").textContent = told.scenes.length > 1 ? name : `Camera ${frame.camera}`;
  const now = find(".now .picture");
  now.style.setProperty("--aspect", frame.width_px / frame.height_px);
  now.prepend(picture(frame, told.formats, `${name}, as it is now`));
  const before = frame.before;
  if (before) {
    find(".difference").textContent = `What is different: ${before.words}.`;
    find(".difference").hidden = false;
  }
  if (before && before.there) {
    find(".before").hidden = false;
    find(".now figcaption").hidden = false;
    find(".versions").classList.add("two");
    find(".before .picture").append(picture(before, told.formats, `${name}, as it was`));
  }
}

function opinions(section, frame) {
  const list = section.querySelector(".said");
  list.replaceChildren(...frame.decisions.map(said));
  const own = frame.decisions.find((one) => one.own && one.of_this);
  const right = section.querySelector(".right");
  right.setAttribute("aria-pressed", String(own?.says === "approved"));
  right.textContent = own?.says === "approved" ? "✓ This is right" : "This is right";
  section.querySelectorAll(".box.said-of").forEach((box) => box.remove());
  for (const one of frame.decisions.filter((each) => each.mark && each.of_this)) {
    const box = document.createElement("div");
    box.className = "box said-of";
    outline(box, one.mark);
    section.querySelector(".now .picture").append(box);
  }
}

function answering(section, frame, scene, told) {
  const find = (what) => section.querySelector(what);
  const form = find("form"), text = find("textarea"), outcome = find(".outcome");
  const mark = marking(find(".now .picture"), find(".box"), find("select"), outline);
  const send = async (says, comment, where) => {
    const buttons = section.querySelectorAll("button");
    let focus = document.activeElement;
    buttons.forEach((button) => (button.disabled = true));
    outcome.textContent = "Sending …";
    try {
      await decide(told.by, scene, frame, says, comment, where);
      outcome.textContent = "Kept. Thank you.";
      form.hidden = true;
      find(".wrong").setAttribute("aria-expanded", "false");
      focus = find(says === "approved" ? ".right" : ".wrong");
      await fresh();
    } catch (error) {
      outcome.textContent = `Not kept: ${error.message}`;
    } finally {
      buttons.forEach((button) => (button.disabled = false));
      // A button that is disabled or hidden lost it; who goes by keyboard goes on from here.
      focus.focus({ preventScroll: true });
    }
  };
  find(".right").addEventListener("click", () => send("approved", "", null));
  find(".wrong").addEventListener("click", (event) => {
    form.hidden = !form.hidden;
    event.currentTarget.setAttribute("aria-expanded", String(!form.hidden));
    mark.open(!form.hidden);
    if (!form.hidden) text.focus();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    send("change", text.value.trim(), mark.value()).then(() => mark.open(!form.hidden));
  });
}

function summary(told) {
  const all = told.scenes.flatMap((scene) => scene.frames);
  const open = all.filter((frame) => frame.asks).length;
  const word = (count) => (count === 1 ? "1 picture" : `${count} pictures`);
  document.getElementById("summary").textContent = open
    ? `${told.by}: ${word(open)} of ${all.length} ${open === 1 ? "waits" : "wait"} for you.`
    : `${told.by}: you have decided on every picture. Thank you.`;
}

let sections = new Map();

async function fresh() {
  const told = await review();
  const key = (scene, frame) => `${scene.name} ${frame.camera} ${frame.shown}`;
  const wanted = new Map();
  document.getElementById("title").textContent = told.scenes.map((scene) => scene.title).join(", ");
  for (const scene of told.scenes)
    for (const frame of [...scene.frames].sort((a, b) => Number(b.asks) - Number(a.asks) || 0)) {
      let section = sections.get(key(scene, frame));
      if (!section) {
        section = template.content.cloneNode(true).querySelector("section");
        section.dataset.camera = frame.camera;
        shownIn(section, frame, scene, told);
        answering(section, frame, scene, told);
      }
      opinions(section, frame);
      wanted.set(key(scene, frame), section);
    }
  // What stands already stays where it is, so that nothing jumps under a reader's hands.
  for (const [name, section] of sections) if (!wanted.has(name)) section.remove();
  for (const [name, section] of wanted) if (!sections.has(name)) frames.append(section);
  sections = wanted;
  summary(told);
}

const loaded = () =>
  fresh().catch((error) => (document.getElementById("summary").textContent = error.message));
document.addEventListener("visibilitychange", () => document.hidden || loaded());
await loaded();
