// A box on the picture, in shares of it: dragged, or moved and sized by the arrow keys.

const FIRST = { x: 0.35, y: 0.25, width: 0.3, height: 0.4 };
const LEAST = 0.02;
const STEP = 0.02;
let mark = null;
let drawing = false;

const within = (value, low, high) => Math.min(Math.max(value, low), high);
const told = (value) => Math.round(value * 1e4) / 1e4;

function showMark(found) {
  mark = found;
  const box = byId("mark");
  box.hidden = !found;
  byId("unmark").hidden = !found;
  byId("marking").textContent = say(found ? "mark_again" : "mark");
  if (!found) return;
  placeMark(box, found);
  const pct = Object.fromEntries(Object.entries(found).map(([key, value]) => [key, Math.round(100 * value)]));
  box.setAttribute("aria-label", say("mark_at", pct));
}

// As `showMark`, by the hand of who answers.
function setMark(found) {
  showMark(found);
  keepBegun();
}

function placeMark(box, found) {
  const sides = { left: found.x, top: found.y, width: found.width, height: found.height };
  for (const [side, share] of Object.entries(sides)) box.style[side] = `${100 * share}%`;
}

function beginMark() {
  drawing = true;
  byId("stage").classList.add("drawing");
  byId("mark_hint").hidden = false;
  setMark(mark ?? FIRST);
  const box = byId("mark");
  box.tabIndex = 0;
  box.setAttribute("role", "group");
  box.scrollIntoView({ block: "nearest" });
  box.focus();
}

function endMark() {
  drawing = false;
  byId("stage").classList.remove("drawing");
  byId("mark_hint").hidden = true;
  byId("mark").removeAttribute("tabindex");
}

function keyOnMark(event) {
  const step = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] }[event.key];
  if (event.key === "Enter" || event.key === "Escape") {
    endMark();
    byId("comment").focus();
  } else if (step && drawing) {
    setMark(event.shiftKey ? sized(mark, step) : moved(mark, step));
  } else return;
  event.preventDefault();
  event.stopPropagation();
}

function moved(box, [across, down]) {
  return {
    ...box,
    x: told(within(box.x + across, 0, 1 - box.width)),
    y: told(within(box.y + down, 0, 1 - box.height)),
  };
}

function sized(box, [across, down]) {
  return {
    ...box,
    width: told(within(box.width + across, LEAST, 1 - box.x)),
    height: told(within(box.height + down, LEAST, 1 - box.y)),
  };
}

function startMark() {
  const stage = byId("stage");
  let from = null;
  const shareOf = (event) => {
    const box = stage.getBoundingClientRect();
    return [within((event.clientX - box.x) / box.width, 0, 1), within((event.clientY - box.y) / box.height, 0, 1)];
  };
  stage.addEventListener("pointerdown", (event) => {
    if (!drawing) return;
    from = shareOf(event);
    stage.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  stage.addEventListener("pointermove", (event) => {
    if (!from) return;
    const to = shareOf(event);
    const [left, right] = [from[0], to[0]].sort((a, b) => a - b);
    const [top, bottom] = [from[1], to[1]].sort((a, b) => a - b);
    if (right - left < LEAST || bottom - top < LEAST) return;
    setMark({ x: told(left), y: told(top), width: told(right - left), height: told(bottom - top) });
  });
  for (const end of ["pointerup", "pointercancel"]) stage.addEventListener(end, () => { from = null; });
  byId("mark").addEventListener("keydown", keyOnMark);
  byId("marking").addEventListener("click", beginMark);
  byId("unmark").addEventListener("click", () => { endMark(); setMark(null); byId("marking").focus(); });
}
