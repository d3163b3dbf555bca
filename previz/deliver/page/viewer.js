// One picture at a time: which it is, what is said of it, and the way to the next.

const SWIPE_PX = 45;
let number = 0;
const current = () => SHOWING.frames[number];

function show(wanted) {
  number = within(wanted, 0, SHOWING.frames.length - 1);
  const frame = current();
  const all = SHOWING.frames.length;
  const stage = byId("stage");
  stage.style.aspectRatio = `${frame.width} / ${frame.height}`;
  document.documentElement.style.setProperty("--shape", frame.height / frame.width);
  stage.style.maxWidth = `calc((100vh - var(--beside)) * ${frame.width / frame.height})`;
  stage.classList.remove("arriving");
  void stage.offsetWidth; // so that arriving begins anew
  stage.classList.add("arriving");
  byId("shown").src = pictureOf(frame);
  byId("shown").alt = frame.alt;
  byId("heading").textContent = frame.heading;
  byId("place").textContent = say("place", { number: number + 1, all });
  byId("lines").replaceChildren(...frame.lines.map((line) => made("p", {}, line)));
  byId("alt").textContent = frame.alt;
  byId("numbers").replaceChildren(...frame.numbers.flatMap(([label, text]) => [made("dt", {}, label), made("dd", {}, text)]));
  byId("previous").disabled = number === 0;
  byId("next").disabled = number === all - 1;
  layOutPitch(frame);
  layOutCompare(frame);
  layOutLight(frame, () => relight(current()));
  layOutGuides(frame);
  layOutDecision(frame);
  relight(frame);
  layOutStates();
}

function layOutPitch(frame) {
  const { line, by } = SHOWING.scenes[frame.scene];
  const words = [line, by && say("by", { name: by })].filter(Boolean).join(" ");
  byId("pitch").textContent = words;
  byId("pitch").hidden = !words;
}

const SIGNS = { approved: "✓", change: "✎" };

// Which pictures are answered: in the row of pictures, where answers are sent, and in print.
function layOutStates() {
  const buttons = document.querySelectorAll("#frames button");
  for (const [at, frame] of SHOWING.frames.entries()) {
    const found = decisionOn(frame);
    const state = asks(frame) ? say(found ? `said_${found.says}` : "open") : stillApproved(frame);
    buttons[at].replaceChildren(
      frame.heading, found || !asks(frame) ? made("span", { "aria-hidden": "true" }, ` ${SIGNS[found?.says ?? "approved"]}`) : "",
      made("span", { className: "hidden" }, `, ${state}`),
    );
    buttons[at].setAttribute("aria-current", String(at === number));
    if (at === number) byId("frames").scrollLeft = buttons[at].parentElement.offsetLeft - 40;
    layOutPrint(frame, found, state);
  }
  layOutSending();
}

function layOutPrint(frame, found, state) {
  const printed = document.querySelector(`.frame[data-frame="${CSS.escape(frame.key)}"]`);
  const words = found ? [say("printed_by", { says: state, name: answers.name }).trim(), found.comment] : [state];
  printed.querySelector(".decided").textContent = words.filter(Boolean).join("\n");
  printed.querySelector(".stamp")?.remove();
  if (!found?.mark) return;
  const stamp = made("div", { className: "stamp" });
  placeMark(stamp, found.mark);
  printed.querySelector(".printed").append(stamp);
}

function turn(by) {
  const before = number;
  show(number + by);
  if (number !== before) announce(`${current().heading}, ${byId("place").textContent}. ${current().alt}`);
}

function startKeys() {
  document.addEventListener("keydown", (event) => {
    const free = !event.target.closest("input, textarea, select, #mark") && !event.altKey && !event.ctrlKey && !event.metaKey;
    if (!free) return;
    if (event.key === "ArrowLeft") turn(-1);
    if (event.key === "ArrowRight") turn(1);
  });
}

function startSwipe() {
  const stage = byId("stage");
  let from = null;
  stage.addEventListener("pointerdown", (event) => { from = drawing ? null : [event.clientX, event.clientY]; });
  stage.addEventListener("pointerup", (event) => {
    if (!from) return;
    const [across, down] = [event.clientX - from[0], event.clientY - from[1]];
    from = null;
    if (Math.abs(across) > SWIPE_PX && Math.abs(across) > 1.5 * Math.abs(down)) turn(across < 0 ? 1 : -1);
  });
  stage.addEventListener("pointercancel", () => { from = null; });
}

function start() {
  document.documentElement.classList.add("live");
  byId("viewer").hidden = false;
  byId("cautions").hidden = !byId("cautions").querySelector("li");
  byId("frames").querySelector("ol").append(...SHOWING.frames.map((_, at) => {
    const button = made("button", { type: "button" });
    button.addEventListener("click", () => show(at));
    return made("li", {}, button);
  }));
  byId("frames").hidden = SHOWING.frames.length === 1;
  byId("previous").addEventListener("click", () => turn(-1));
  byId("next").addEventListener("click", () => turn(1));
  byId("as_proposed").addEventListener("click", () => {
    asProposed(current());
    layOutLight(current(), () => relight(current()));
    relight(current());
  });
  byId("ask_light").addEventListener("click", () => openChange(current(), lightWords(current())));
  startKeys();
  startSwipe();
  startCompare();
  startMark();
  startDecide(current, layOutStates);
  startSend();
  show(Math.max(SHOWING.frames.findIndex(asks), 0));
}

start();
