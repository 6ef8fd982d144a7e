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
  if (told) told.textContent = "Not saved yet: the program did not answer. Leave the field once more to send it again.";
}
["htmx:sendError", "htmx:timeout"].forEach((name) => document.addEventListener(name, notSent));

// A refusal (4xx) is an answer in words and belongs on the page like any other.
document.addEventListener("htmx:beforeSwap", (event) => {
  const status = event.detail.xhr.status;
  if (status >= 400 && status < 600 && event.detail.xhr.getResponseHeader("Content-Type").startsWith("text/html")) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});
