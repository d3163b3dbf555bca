// Sliders of the light: what is turned, what that multiplies each layer by, and the picture in it.

const EXPOSURES = Array.from({ length: 19 }, (_, third) => (third - 9) / 3);
const turned = {}; // by scene: places of its sliders, exposure in stops, whether white follows
let developer = null;
let loading = null; // the frame whose light the developer has or gets, and when it is done
let asked = 0;
let stride = 1; // while something is turned, one pixel in so many: as few as keep the picture moving
const FRAME_MS = 28;
const MOST_STRIDE = 6;
const STILL_MS = 160;

function turnedOf(frame) {
  const { lights } = SHOWING.scenes[frame.scene];
  turned[frame.scene] ??= {
    exposure: 0,
    follow: false,
    values: Object.fromEntries(lights.map((one) => [one.layer, one.sliders.map((s) => s.value)])),
  };
  return turned[frame.scene];
}

function isTurned(frame) {
  const now = turnedOf(frame);
  const { lights } = SHOWING.scenes[frame.scene];
  return now.exposure !== 0
    || lights.some((one) => one.sliders.some((s, number) => now.values[one.layer][number] !== s.value));
}

// What multiplies each layer by colour, in the order of the scene's lights that this frame has.
function gainsOf(frame) {
  const now = turnedOf(frame);
  const lights = SHOWING.scenes[frame.scene].lights;
  const powers = lights.map((one) => one.sliders.reduce((gain, slider, number) => {
    const stop = slider.stops.find(([value]) => value === now.values[one.layer][number]);
    return gain.map((part, c) => part * stop[c + 1]);
  }, [1, 1, 1]));
  const white = now.follow ? whiteGains(lights, powers) : [1, 1, 1];
  const whole = white.map((gain) => gain * 2 ** now.exposure);
  return lights
    .map((one, number) => [one.layer, powers[number].map((gain, c) => gain * whole[c])])
    .filter(([layer]) => layer in frame.layers);
}

// A camera balanced on the card again: from gains that made it neutral to those that do now.
function whiteGains(lights, powers) {
  const sum = (weights) => [0, 1, 2].map((c) => lights.reduce(
    (total, one, number) => total + (one.card ? one.card[c] * weights[number][c] : 0), 0));
  const neutral = (light) => {
    const y = light.reduce((total, part, c) => total + part * SHOWING.luminance[c], 0);
    return light.map((part) => y / part);
  };
  const before = neutral(sum(lights.map(() => [1, 1, 1])));
  const gains = neutral(sum(powers)).map((gain, c) => gain / before[c]);
  return gains.every(Number.isFinite) ? gains : [1, 1, 1];
}

// Have a frame's light with the developer. One load ends before the next begins: both fill one memory.
function readyFor(frame) {
  if (loading?.frame === frame) return loading.done;
  const before = loading?.done.catch(() => {});
  loading = { frame, done: Promise.resolve(before).then(() => loadLight(frame)) };
  return loading.done;
}

async function loadLight(frame) {
  byId("light_state").textContent = say("loading");
  if (!developer) developer = CardDeveloper.open(byId("relit"));
  if (!developer) {
    // A canvas that was asked for one kind of context may not give another.
    byId("relit").replaceWith(made("canvas", { id: "relit", role: "img", hidden: true }));
    developer = FlatDeveloper.open(byId("relit"));
  }
  await developer.load(frame, SHOWING.scenes[frame.scene].table, gainsOf(frame).map(([layer]) => layer));
  byId("light_state").textContent = "";
}

// Show the frame in the light as it is turned; as proposed it is the frame's own picture.
async function relight(frame) {
  const own = (asked += 1);
  const wanted = isTurned(frame);
  byId("as_proposed").disabled = byId("ask_light").disabled = !wanted;
  try {
    if (wanted) {
      await readyFor(frame);
      await new Promise(requestAnimationFrame);
      if (own !== asked) return;
      drawMoving(frame, own);
    }
  } catch (error) {
    loading = null;
    byId("light_state").textContent = say("light_failed");
    throw error;
  }
  if (own !== asked) return;
  byId("relit").hidden = byId("tried").hidden = !wanted;
  byId("relit").setAttribute("aria-label", `${frame.alt} ${say("relit")}`);
}

// At once as finely as this machine can keep up with, and wholly as soon as nothing moves.
function drawMoving(frame, own) {
  const gains = gainsOf(frame).map(([, gain]) => gain);
  const wholeMs = drawnMs(gains, stride) * stride ** 2;
  if (stride > 1) {
    setTimeout(() => {
      if (own === asked) drawnMs(gains, 1);
    }, STILL_MS);
  }
  stride = within(Math.ceil(Math.sqrt(wholeMs / FRAME_MS)), 1, MOST_STRIDE);
}

function drawnMs(gains, by) {
  const began = performance.now();
  developer.draw(gains, by);
  byId("relit").dataset.stride = by;
  return performance.now() - began;
}

function layOutLight(frame, show) {
  const lights = SHOWING.scenes[frame.scene].lights.filter((one) => one.layer in frame.layers);
  byId("lighting").hidden = lights.length === 0;
  if (lights.length === 0) return;
  const now = turnedOf(frame);
  const rows = lights.flatMap((one) => one.sliders.map((slider, number) => knob(
    say(slider.kind, { name: one.name }),
    slider.stops.map(([value]) => value),
    now.values[one.layer][number],
    (value) => settingWords(slider.kind, value),
    (value) => { now.values[one.layer][number] = value; show(); },
  )));
  const stops = (value) => say("stops", { value: signed(value) });
  rows.push(knob(say("exposure"), EXPOSURES, now.exposure, stops, (value) => { now.exposure = value; show(); }));
  if (lights.some((one) => one.card)) rows.push(whiteSwitch(now, show));
  byId("sliders").replaceChildren(...rows);
}

function knob(label, places, value, words, change) {
  const said = made("output", {}, words(value));
  const input = made("input", {
    type: "range", min: 0, max: places.length - 1, step: 1, value: places.indexOf(value),
    "aria-label": label, "aria-valuetext": words(value),
  });
  input.addEventListener("input", () => {
    const chosen = places[Number(input.value)];
    said.textContent = words(chosen);
    input.setAttribute("aria-valuetext", words(chosen));
    change(chosen);
  });
  return made("div", { className: "slider" }, made("span", {}, label), said, input);
}

function whiteSwitch(now, show) {
  const box = made("input", { type: "checkbox", checked: now.follow });
  box.addEventListener("change", () => { now.follow = box.checked; show(); });
  return made("label", { className: "check" }, box, say("follow_white"));
}

function settingWords(kind, value) {
  return { dimmer: `${value} %`, colour: `${value} K`, nd: `ND ${value}` }[kind];
}

function signed(value) {
  const told = Math.abs(value).toFixed(1);
  return Number(told) === 0 ? "0" : `${value > 0 ? "+" : "−"}${told}`;
}

function asProposed(frame) {
  delete turned[frame.scene];
}

// What is turned, for a comment: "key 50 %, exposure +0.3 stops".
function lightWords(frame) {
  const now = turnedOf(frame);
  const parts = SHOWING.scenes[frame.scene].lights.flatMap((one) => one.sliders
    .map((slider, number) => [slider, now.values[one.layer][number]])
    .filter(([slider, value]) => value !== slider.value)
    .map(([slider, value]) => `${one.name} ${settingWords(slider.kind, value)}`));
  if (now.exposure !== 0) parts.push(`${say("exposure")} ${say("stops", { value: signed(now.exposure) })}`);
  return say("light_asked", { settings: parts.join(", ") });
}
