// What is asked of the server, and what it is told: a decision file with one decision.
const NO_ANSWER = "no answer; try again, nothing you wrote is lost";

async function answered(asking) {
  let answer;
  try {
    answer = await asking;
  } catch {
    throw new Error(NO_ANSWER);
  }
  if (!answer.ok) throw new Error((await answer.text()).trim() || NO_ANSWER);
  return answer.json();
}

// Only secure pages have crypto.randomUUID; a link on a local network may be none.
function uuid() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [8, 12, 16, 20, 32].map((end, i, all) => hex.slice(all[i - 1] ?? 0, end)).join("-");
}

export const review = () => answered(fetch("/review.json"));

// What was sent and not acknowledged is sent again as the same decision: it may have been kept.
const unanswered = new Map();

export async function decide(by, scene, frame, says, comment, mark) {
  const { camera, shown, sha256 } = frame;
  const content = { scene: scene.name, camera, shown, sha256, says, comment, mark, by };
  const key = JSON.stringify(content);
  if (!unanswered.has(key)) unanswered.set(key, { id: uuid(), at: new Date().toISOString() });
  const decision = { ...content, ...unanswered.get(key) };
  const told = { form: 1, showing: frame.showing, by, sent_at: decision.at, decisions: [decision] };
  const headers = { "content-type": "application/json" };
  const answer = await answered(
    fetch("/decisions", { method: "POST", headers, body: JSON.stringify(told) }),
  );
  unanswered.delete(key);
  return answer;
}
