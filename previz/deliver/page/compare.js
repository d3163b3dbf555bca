// Another picture over this one: wiped from the left, or flicked to.

const pictureOf = (frame) => document.querySelector(`.frame[data-frame="${CSS.escape(frame.key)}"] img`).src;

function layOutCompare(frame) {
  const others = SHOWING.frames.filter((one) => one !== frame);
  const found = [
    ...(frame.before ? [[say("before", { name: frame.heading }), frame.before]] : []),
    ...others.map((one) => [one.heading, pictureOf(one)]),
  ];
  byId("comparing").hidden = found.length === 0;
  const choice = byId("with");
  choice.replaceChildren(
    made("option", { value: "" }, say("nothing")),
    ...found.map(([name], number) => made("option", { value: String(number) }, name)),
  );
  choice.onchange = () => compareWith(found[Number(choice.value)], choice.value !== "");
  compareWith(null, false);
}

function compareWith(found, on) {
  for (const id of ["comparing_two", "other", "divider"]) byId(id).hidden = !on;
  if (!on) return;
  const [name, address] = found;
  byId("other").src = address;
  byId("other").alt = say("other_now", { name });
  byId("flick").setAttribute("aria-pressed", "false");
  wipe();
}

function wipe() {
  const share = Number(byId("wipe").value);
  byId("other").style.clipPath = `inset(0 ${100 - share}% 0 0)`;
  byId("divider").style.left = `${share}%`;
  byId("divider").hidden = false;
  byId("wipe").setAttribute("aria-valuetext", say("wipe_value", { share }));
}

function flick() {
  const on = byId("flick").getAttribute("aria-pressed") !== "true";
  byId("flick").setAttribute("aria-pressed", String(on));
  byId("divider").hidden = true;
  if (on) byId("other").style.clipPath = "none";
  else byId("other").style.clipPath = "inset(0 100% 0 0)";
  announce(on ? byId("other").alt : say("own_now"));
}

function startCompare() {
  byId("wipe").addEventListener("input", wipe);
  byId("flick").addEventListener("click", flick);
}
