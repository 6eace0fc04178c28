// Warns before a page with typed contents that nobody keeps is left, and sends a form once however often its
// button is pressed. What a look at a change has kept on the server needs no warning. Without scripts the form
// works the same.
const AGAIN_MS = 5000;
const theForm = () => document.querySelector("form[data-warn-unsaved]");
let typed = 0;
let sent = 0;

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-warn-unsaved]");
  if (!form) return;
  typed += 1;
  form.setAttribute("data-changed", "");
});

document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.elt.matches("[data-keeps]")) sent = typed;
});

document.addEventListener("htmx:afterRequest", (event) => {
  const { elt, successful } = event.detail;
  if (elt.matches("[data-keeps]") && successful && sent === typed) theForm()?.removeAttribute("data-changed");
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.hasAttribute("data-sent")) return event.preventDefault();
  form.removeAttribute("data-changed");
  if (!form.hasAttribute("data-warn-unsaved")) return;
  form.setAttribute("data-sent", "");
  setTimeout(() => form.removeAttribute("data-sent"), AGAIN_MS);
});

window.addEventListener("pageshow", () => theForm()?.removeAttribute("data-sent"));

window.addEventListener("beforeunload", (event) => {
  if (theForm()?.hasAttribute("data-changed")) event.preventDefault();
});
