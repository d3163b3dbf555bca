// One answer for each picture: it is right, or what should change.

let onDecision = () => {};

// What was approved and is as it was asks for nothing more.
const asks = (frame) => frame.approved.length === 0 || Boolean(decisionOn(frame));
const stillApproved = (frame) => say("still_approved", { names: frame.approved.join(", ") });

function layOutDecision(frame) {
  const found = decisionOn(frame);
  closeChange();
  byId("still").hidden = asks(frame);
  byId("still").textContent = asks(frame) ? "" : stillApproved(frame);
  byId("choose").hidden = Boolean(found);
  byId("decided").hidden = !found;
  byId("decided").className = found ? found.says : "";
  byId("said").textContent = found ? say(`said_${found.says}`) : "";
  byId("said_comment").textContent = found ? found.comment : "";
  byId("edit").hidden = found?.says !== "change";
  showMark(found ? found.mark : null);
}

function openChange(frame, more = "") {
  const before = decisionOn(frame);
  byId("choose").hidden = true;
  byId("decided").hidden = true;
  byId("changing").hidden = false;
  byId("change").setAttribute("aria-expanded", "true");
  const words = [before?.says === "change" ? before.comment : "", more].filter(Boolean);
  byId("comment").value = words.join("\n");
  byId("comment").focus();
}

function closeChange() {
  endMark();
  byId("changing").hidden = true;
  byId("change").setAttribute("aria-expanded", "false");
  byId("change_fault").textContent = "";
  byId("comment").value = "";
}

function keepChange(frame) {
  const comment = byId("comment").value.trim();
  if (!comment && !mark) {
    byId("change_fault").textContent = say("change_needs");
    byId("comment").focus();
    return;
  }
  settle(frame, () => decide(frame, "change", comment, mark), "said_change", "edit");
}

// Do it, show it, say it, and leave the focus where one goes on.
function settle(frame, does, said, focus) {
  does();
  layOutDecision(frame);
  onDecision();
  announce(say(said));
  byId(focus).focus();
}

function startDecide(current, changed) {
  onDecision = changed;
  byId("right").addEventListener("click", () => {
    const frame = current();
    settle(frame, () => decide(frame, "approved", "", null), "said_approved", "take_back");
  });
  byId("change").addEventListener("click", () => openChange(current()));
  byId("edit").addEventListener("click", () => openChange(current()));
  byId("take_back").addEventListener("click", () => {
    const frame = current();
    settle(frame, () => takeBack(frame), "taken_back", "right");
  });
  byId("cancel").addEventListener("click", () => {
    layOutDecision(current());
    byId(decisionOn(current()) ? "take_back" : "change").focus();
  });
  byId("changing").addEventListener("submit", (event) => {
    event.preventDefault();
    keepChange(current());
  });
}
