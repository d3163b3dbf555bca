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
  const begun = begunOn(frame);
  if (begun) layOutChange(begun.comment, begun.mark);
}

const changing = () => !byId("changing").hidden;

// `more` is written below what was said already.
function openChange(frame, more = "") {
  const found = decisionOn(frame);
  const said = found?.says === "change" ? found : { comment: "", mark: null };
  const before = changing() ? { comment: byId("comment").value, mark } : said;
  layOutChange([before.comment, more].filter(Boolean).join("\n"), before.mark);
  if (more) keepBegun();
  byId("comment").focus();
}

function layOutChange(comment, box) {
  byId("choose").hidden = true;
  byId("decided").hidden = true;
  byId("changing").hidden = false;
  byId("change").setAttribute("aria-expanded", "true");
  byId("comment").value = comment;
  showMark(box);
}

const keepBegun = () => changing() && begin(current(), byId("comment").value, mark);

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
  endBegun(frame);
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
  byId("comment").addEventListener("input", keepBegun);
  byId("cancel").addEventListener("click", () => {
    endBegun(current());
    layOutDecision(current());
    byId(decisionOn(current()) ? "take_back" : "change").focus();
  });
  byId("changing").addEventListener("submit", (event) => {
    event.preventDefault();
    keepChange(current());
  });
}
