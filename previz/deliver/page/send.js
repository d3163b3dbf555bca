// Answers as one small file: handed on where the machine can, else saved for a mail.

function decisionFile() {
  const by = answers.name;
  return {
    form: 1, showing: SHOWING.id, by, sent_at: now(),
    decisions: decisions().map((one) => ({ ...one, by })),
  };
}

function fileName() {
  const name = answers.name.normalize("NFKD").replace(/[^\p{L}\p{N}]+/gu, "_").replace(/^_+|_+$/g, "");
  return `decisions_${SHOWING.id}_${name || "client"}.json`;
}

function layOutSending() {
  const all = SHOWING.frames.filter(asks).length;
  byId("answered").textContent = say("answered", { done: decisions().length, all });
  if (answers.sent && answers.sent !== state()) byId("sent").textContent = say("changed_since");
  byId("keeping").textContent = say(keeps ? "stays_here" : "not_kept");
}

const state = () => decisions().map((one) => one.id).join(" ");

// What stands in the way of sending, and where it is put right.
function hindered() {
  const waiting = SHOWING.frames.findIndex(begunOn);
  if (waiting >= 0) {
    show(waiting);
    return ["begun", "comment"];
  }
  if (decisions().length === 0) return ["nothing_to_send", "right"];
  return answers.name ? null : ["name_needed", "name"];
}

async function send(shares) {
  const fault = hindered();
  byId("send_fault").textContent = fault ? say(fault[0]) : "";
  if (fault) {
    byId(fault[1]).focus();
    return;
  }
  const file = new File([`${JSON.stringify(decisionFile(), null, 1)}\n`], fileName(), { type: "application/json" });
  const done = shares && await handedOn(file);
  if (!done) saved(file);
  answers.sent = state();
  keep();
  byId("sent").textContent = done ? say("shared") : say("saved", { file: file.name });
}

async function handedOn(file) {
  try {
    await navigator.share({ files: [file], title: say("mail_subject", { title: SHOWING.title }) });
    return true;
  } catch {
    return false;
  }
}

function saved(file) {
  const address = URL.createObjectURL(file);
  made("a", { href: address, download: file.name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
  const subject = encodeURIComponent(say("mail_subject", { title: SHOWING.title }));
  const body = encodeURIComponent(say("mail_body", { file: file.name }));
  byId("mail").href = `mailto:?subject=${subject}&body=${body}`;
  byId("mail").hidden = false;
}

function startSend() {
  const probe = new File(["{}"], "a.json", { type: "application/json" });
  const shares = Boolean(navigator.canShare?.({ files: [probe] }));
  byId("share").hidden = !shares;
  byId("save").classList.toggle("strong", !shares);
  byId("name").value = answers.name;
  byId("name").addEventListener("input", () => {
    answers.name = byId("name").value.trim();
    keep();
  });
  byId("send").addEventListener("submit", (event) => {
    event.preventDefault();
    send(event.submitter?.id === "share");
  });
}
