// Answers, kept in the browser until they are sent. A page of other frames has answers of its own.

const KEY = `previz-page-${SHOWING.id}`;
const answers = keptBefore();
let keeps = true;

function keptBefore() {
  const none = { name: "", decisions: {}, begun: {}, sent: null };
  try {
    const found = JSON.parse(localStorage.getItem(KEY));
    return found && typeof found.decisions === "object" ? { ...none, ...found } : none;
  } catch {
    return none;
  }
}

function keep() {
  try {
    localStorage.setItem(KEY, JSON.stringify(answers));
  } catch {
    keeps = false;
  }
}

// RFC 4122, version 4; randomUUID is not there on every page opened from a file.
function uuid() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

const now = () => new Date().toISOString().replace(/\.\d+Z$/, "Z");

function decide(frame, says, comment, mark) {
  answers.decisions[frame.key] = {
    id: uuid(), scene: frame.scene, camera: frame.camera, shown: frame.shown,
    sha256: frame.sha256, says, comment, mark, by: "", at: now(),
  };
  keep();
}

// A change that is being written is kept as it grows, and waits while one looks at other pictures.
function begin(frame, comment, mark) {
  if (comment.trim() || mark) answers.begun[frame.key] = { comment, mark };
  else delete answers.begun[frame.key];
  keep();
}

function endBegun(frame) {
  begin(frame, "", null);
}

function takeBack(frame) {
  delete answers.decisions[frame.key];
  keep();
}

const decisionOn = (frame) => answers.decisions[frame.key];
const begunOn = (frame) => answers.begun[frame.key];
const decisions = () => SHOWING.frames.map(decisionOn).filter(Boolean);
