// The little that HTML and htmx do not do: say a tapped point in words, and say when a field could
// not be sent.  Every page works without this file.

document.addEventListener("click", (event) => {
  const point = event.target.closest("svg .point");
  if (!point) return;
  event.preventDefault();
  const figure = point.closest("figure");
  const said = figure && figure.querySelector(".pointed");
  if (said) said.textContent = point.dataset.said;
  document.querySelectorAll("tr.pointed-at").forEach((row) => row.classList.remove("pointed-at"));
  const row = document.getElementById(point.getAttribute("href").slice(1));
  if (row) row.classList.add("pointed-at");
});

// A field that did not reach the program says so where it stands, and is sent again on the next change.
function notSent(event) {
  const source = event.target;
  const field = source && source.closest && source.closest(".field");
  const told = field && field.querySelector(".told");
  if (!told) return;
  told.textContent = "Not saved yet: the program did not answer. Leave the field once more to send it again.";
  unsent.add(source);
}
const unsent = new Set();
function sendAgain(input) {
  if (!unsent.delete(input) || !input.isConnected) return;
  input.dispatchEvent(new Event("change", { bubbles: true }));
}
// A field left once more is sent although its text is the same; so are all when the net is back.
document.addEventListener("focusout", (event) => sendAgain(event.target));
window.addEventListener("online", () => [...unsent].forEach(sendAgain));
["htmx:sendError", "htmx:timeout"].forEach((name) => document.addEventListener(name, notSent));

// A refusal (4xx) is an answer in words and belongs on the page like any other.
document.addEventListener("htmx:beforeSwap", (event) => {
  const status = event.detail.xhr.status;
  if (status >= 400 && status < 600 && event.detail.xhr.getResponseHeader("Content-Type").startsWith("text/html")) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});

// Fields that are marked as wrong say so to a screen reader, and stop when they are right.
document.addEventListener("htmx:afterSwap", (event) => {
  const told = event.detail.target;
  if (!told || !told.classList.contains("told")) return;
  const wrong = Boolean(told.querySelector(".problem, .doubt"));
  told.closest(".field").querySelectorAll("input[type=text], select, textarea").forEach((input) => {
    if (wrong) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  });
});

// A page that goes away in the middle of a field still saves what stands in it.
const lastSent = new WeakMap();
document.addEventListener("focusin", (event) => {
  const input = event.target;
  if (input.matches("[hx-post]") && !lastSent.has(input)) lastSent.set(input, input.value);
});
document.addEventListener("htmx:afterRequest", (event) => {
  const input = event.target;
  const arrived = event.detail.xhr && event.detail.xhr.status > 0;
  if (arrived && input.matches && input.matches("input, textarea, select")) lastSent.set(input, input.value);
});
document.addEventListener("visibilitychange", () => {
  const input = document.activeElement;
  if (document.visibilityState !== "hidden" || !input || !input.matches("input[hx-post], textarea[hx-post]")) return;
  if (input.type === "file" || input.value === lastSent.get(input)) return;
  const form = new FormData();
  form.set(input.name, input.value);
  form.set("csrfmiddlewaretoken", JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"]);
  if (navigator.sendBeacon(input.getAttribute("hx-post"), form)) lastSent.set(input, input.value);
});

// Paper cannot unfold: what is folded and is no form is printed open.
window.addEventListener("beforeprint", () => {
  document.querySelectorAll("details:not(form details)").forEach((part) => { part.open = true; });
});
