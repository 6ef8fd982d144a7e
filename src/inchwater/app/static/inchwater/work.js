// The work page without signal: what is typed or ticked is kept on the phone first, judged there
// against the interval that stands in the page, and sent when the program answers.
//
// A record is made once, with an id of its own, so that sending it twice is harmless.  It leaves
// the phone only when the program has said that it has it.

const page = document.getElementById("work");
const QUEUE = `inchwater.work.${page.dataset.visit}`;
const TYPED = `${QUEUE}.typed`;

const read = (key, empty) => {
  try { return JSON.parse(localStorage.getItem(key)) || empty; } catch { return empty; }
};
// Storage can be full or switched off: then the page says that nothing is kept, and goes on.
let keeps = true;
const write = (key, value) => {
  try { localStorage.setItem(key, JSON.stringify(value)); keeps = true; } catch { keeps = false; }
};
let queue = read(QUEUE, []);
const typed = read(TYPED, {});

// On a plain address of a shop's net there is no randomUUID.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

function keep(record) {
  queue.push({ id: newId(), at: new Date().toISOString(), ...record });
  write(QUEUE, queue);
  show();
  send();
}

// --- what is read --------------------------------------------------------------------------------

// A number as people write it: a comma for a point or between thousands, a minus of any kind; null
// if it is none, as where a comma stands in it twice without thousands.
function number(text) {
  const plain = text.trim().replace(/[−–]/g, "-").replace(/\s/g, "");
  const grouped = /^[-+]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?$/.test(plain);
  const point = grouped ? plain.replace(/,/g, "") : plain.replace(/^([-+]?\d*),(\d+)$/, "$1.$2");
  return /^[-+]?(\d+\.?\d*|\.\d+)$/.test(point) ? Number(point) : null;
}

function judge(input) {
  const box = input.closest("[data-low]");
  const value = number(input.value);
  if (value === null) return null;
  // Nobody has to type the minus of the return side; a minus on the other side says something.
  const size = Number(box.dataset.sign) < 0 ? Math.abs(value) : value;
  const low = Number(box.dataset.low);
  if (size < 0 && low > 0) return "sign";
  if (size < low) return "below";
  return size > Number(box.dataset.high) ? "above" : "inside";
}

function say(box, verdict) {
  box.querySelectorAll("[data-said]").forEach((said) => { said.hidden = said.dataset.said !== verdict; });
}

page.addEventListener("input", (event) => {
  const input = event.target;
  if (!input.matches("input[data-draft]")) return;
  typed[input.id] = input.value;
  write(TYPED, typed);
});

page.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-act]");
  if (!button) return;
  event.preventDefault();
  const act = ACTS[button.dataset.act];
  if (act) act(button);
});

const listed = (text) => (text ? text.split(" ") : []);
const stepOf = (element) => element.closest("[data-step]");

const ACTS = {
  reading(button) {
    const box = button.closest("[data-low]");
    const input = box.querySelector("input");
    const verdict = judge(input);
    say(box, verdict || "none");
    if (verdict === null) { input.setAttribute("aria-invalid", "true"); input.focus(); return; }
    input.removeAttribute("aria-invalid");
    delete typed[input.id];
    write(TYPED, typed);
    const { point, quantity, unit } = box.dataset;
    keep({ kind: "reading", place: point, quantity, unit, typed: input.value, verdict,
      box: box.id, changes: listed(box.dataset.changes), step: Number(stepOf(box).dataset.step) });
  },
  gate(button) {
    const gate = button.closest("[data-gate]");
    const record = { kind: "gate", gate: gate.dataset.gate, when: gate.dataset.when, result: button.value, box: gate.id };
    const step = stepOf(gate);
    if (step) Object.assign(record, { step: Number(step.dataset.step), changes: listed(step.dataset.changes) });
    const input = gate.querySelector("input");
    if (button.value === "measured") {
      if (!input || number(input.value) === null) {
        input.setAttribute("aria-invalid", "true"); input.focus(); return;
      }
      input.removeAttribute("aria-invalid");
      record.typed = input.value;
      record.unit = gate.dataset.unit;
      delete typed[input.id];
      write(TYPED, typed);
    }
    keep(record);
  },
  done(button) {
    const step = stepOf(button);
    const open = [...step.querySelectorAll("[data-gate][data-when=before]")].filter((gate) => !gate.dataset.result || gate.dataset.result === "not-ok");
    const told = step.querySelector("[data-blocked]");
    told.hidden = open.length === 0;
    if (open.length) { open[0].scrollIntoView({ block: "center" }); return; }
    keep({ kind: "done", step: Number(step.dataset.step), changes: listed(step.dataset.changes), box: step.id });
  },
  back(button) {
    const step = stepOf(button);
    keep({ kind: "taken-back", step: Number(step.dataset.step), changes: listed(step.dataset.changes), box: step.id });
  },
  undone(button) {
    const state = button.closest("[data-state]");
    keep({ kind: "undone", state: state.dataset.state, trial: state.dataset.trial, box: state.id });
  },
  heard(button) {
    const box = document.getElementById("heard");
    const ticked = [...box.querySelectorAll("input:checked")].map((one) => one.value);
    const none = button.value === "ticked" && !ticked.length;
    box.querySelector("[data-heard-none]").hidden = !none;
    if (none) return;
    const loud = { ticked, somewhere: ["somewhere"], nothing: [] }[button.value];
    keep({ kind: "heard", loud, box: box.id });
  },
  called() {
    keep({ kind: "called-again", box: "called" });
  },
  stop(button) {
    keep({ kind: "stopped", why: button.value, box: "stop" });
  },
  send() { send(); },
  forget(button) {
    queue = queue.filter((record) => record.id !== button.value);
    write(QUEUE, queue);
    show();
  },
};

// --- what is shown -------------------------------------------------------------------------------

// At the limit itself somebody decides who is licensed for it.
function within(gate, value) {
  const { least, most } = gate.dataset;
  return (least === undefined || value > Number(least)) && (most === undefined || value < Number(most));
}
const fails = (gate, record) => record.result === "not-ok"
  || (record.result === "measured" && !within(gate, number(record.typed)));

const GATES = { ok: "in order", "not-ok": "not in order", measured: "kept", referred: "referred" };

// What waits on the phone is shown as if it were sent: the page is the truth of who holds it.
function apply(record) {
  const box = document.getElementById(record.box);
  if (!box) return;
  if (record.kind === "reading") {
    const input = box.querySelector("input");
    // What is typed now has its own sentence, or none yet.
    if (!(input.id in typed)) { input.value = record.typed; say(box, record.verdict); }
  } else if (record.kind === "gate") {
    box.dataset.result = record.result;
    const said = box.querySelector("[data-gate-said]");
    said.hidden = false;
    const failed = fails(box, record);
    if (failed) box.dataset.result = "not-ok";
    said.textContent = failed ? GATES["not-ok"] : GATES[record.result];
    box.querySelector("[data-gate-stop]").hidden = !failed;
    box.querySelectorAll("button[value]").forEach((one) => one.setAttribute("aria-pressed", String(one.value === record.result)));
  } else if (record.kind === "done" || record.kind === "taken-back") {
    const done = record.kind === "done";
    box.classList.toggle("step-done", done);
    box.open = true;
    box.querySelectorAll("[data-when-done]").forEach((one) => { one.hidden = (one.dataset.whenDone === "yes") !== done; });
  } else if (record.kind === "heard") {
    const said = box.querySelector("[data-heard-said]");
    said.hidden = false;
    said.textContent = record.loud.length ? box.dataset.loud : box.dataset.quiet;
    box.querySelectorAll("input").forEach((one) => { one.checked = record.loud.includes(one.value); });
  } else if (record.kind === "called-again") {
    box.querySelector("[data-called-said]").hidden = false;
  } else if (record.kind === "undone") {
    box.classList.add("step-done");
    box.querySelectorAll("button").forEach((one) => { one.hidden = true; });
  }
}

const waiting = document.getElementById("waiting");
function show() {
  queue.forEach(apply);
  const open = queue.filter((record) => !record.refused).length;
  const text = keeps ? "" : " This phone keeps nothing: storage is full or switched off. Stay on this page until all is sent.";
  waiting.querySelector("p").textContent = (open
    ? `${open} ${open === 1 ? "record waits" : "records wait"} on this phone to be sent. You can go on without signal.`
    : sent ? "All is sent." : "Nothing waits to be sent.") + text;
  waiting.querySelector("[data-act=send]").hidden = !open;
  waiting.querySelector("a").hidden = !sent || open > 0;
  const list = waiting.querySelector("ul");
  list.replaceChildren(...queue.filter((record) => record.refused).map((record) => {
    const line = document.createElement("li");
    const words = document.createElement("p");
    words.textContent = record.refused;
    const button = document.createElement("button");
    Object.assign(button, { className: "act-soft", value: record.id, textContent: "I have read it" });
    button.dataset.act = "forget";
    line.append(words, button);
    return line;
  }));
}

// --- sending -------------------------------------------------------------------------------------

let sent = false;
let sending = false;
let again = false;
async function send() {
  const open = queue.filter((record) => !record.refused);
  // What is on its way may fail for want of the signal that has just come back.
  if (sending) { again = true; return; }
  if (!open.length) return;
  sending = true;
  again = false;
  try {
    const token = JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
    const response = await fetch(page.dataset.send, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token, Accept: "application/json" },
      body: JSON.stringify({ records: open }),
    });
    if (!response.ok) throw new Error(String(response.status));
    const answer = await response.json();
    const refused = new Map(answer.refused.map((one) => [one.id, one.text]));
    const kept = new Set(answer.kept);
    queue = queue.filter((record) => !kept.has(record.id));
    queue.forEach((record) => { if (refused.has(record.id)) record.refused = refused.get(record.id); });
    write(QUEUE, queue);
    sent = sent || kept.size > 0;
    // What a reload without signal shows knows of what was sent.
    if (kept.size) keepPage();
  } catch {
    // No answer: everything stays here and goes with the next try.
  } finally {
    sending = false;
    show();
  }
  if (again) send();
}
window.addEventListener("online", send);
setInterval(send, 15000);
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") send(); });

// --- reload without signal -----------------------------------------------------------------------

async function keepPage() {
  if (!("serviceWorker" in navigator) || !("caches" in window)) return;
  const name = page.dataset.cache;
  try {
    await navigator.serviceWorker.register(page.dataset.worker, { scope: "/visits/" });
    const old = (await caches.keys()).filter((one) => one.startsWith("inchwater-work-") && one !== name);
    await Promise.all(old.map((one) => caches.delete(one)));
    const files = [...document.querySelectorAll("link[href], script[src]")].map((one) => one.href || one.src);
    const cache = await caches.open(name);
    await cache.addAll([location.pathname, page.dataset.font, ...files]);
    page.dataset.kept = "yes";
  } catch {
    // Without it the open page still works; only a reload needs the program.
  }
}

Object.entries(typed).forEach(([id, text]) => {
  const input = document.getElementById(id);
  if (input) input.value = text;
});
show();
send();
if (document.readyState === "complete") keepPage();
else window.addEventListener("load", keepPage);
