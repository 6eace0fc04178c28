// Copies the text a button names to the clipboard and says so. Without scripts the text is selected by hand.
for (const button of document.querySelectorAll("[data-copy]")) {
  if (!navigator.clipboard) continue;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const said = button.parentElement.querySelector("[data-copy-said]");
    try {
      await navigator.clipboard.writeText(document.getElementById(button.dataset.copy).innerText);
      said.textContent = "Copied.";
    } catch {
      said.textContent = "The browser did not allow it: select the text above.";
    }
  });
}
