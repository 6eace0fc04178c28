// The "why" panel: takes the focus when it opens, gives it back when it closes. Without scripts the same
// links open the page with the panel in it.
let opener = null;

document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.target.closest(".sections")) opener = event.target;
});

const close = () => {
  const panel = document.getElementById("why");
  if (!panel || panel.hidden) return false;
  panel.hidden = true;
  panel.replaceChildren();
  if (opener && opener.isConnected) opener.focus();
  return true;
};

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-close-why]") && close()) event.preventDefault();
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") close();
});
