// Warns before a page with typed, unsaved contents is left. Without scripts the form works the same.
const isWarning = (form) => form && form.hasAttribute("data-changed");
const theForm = () => document.querySelector("form[data-warn-unsaved]");

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-warn-unsaved]");
  if (form) form.setAttribute("data-changed", "");
});

document.addEventListener("submit", (event) => event.target.removeAttribute("data-changed"));

window.addEventListener("beforeunload", (event) => {
  if (isWarning(theForm())) event.preventDefault();
});
