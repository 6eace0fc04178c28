// Of a description of two hundred fields, showing a change sends only those that hold something: the rest is
// blank. A row keeps its name or key, so that one just added is still there. Without scripts all are sent.
const tellsARow = /\]\.(name|key)$/;

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.elt.id !== "changes") return;
  const sent = event.detail.formData;
  for (const [name, value] of [...sent.entries()]) {
    if (value === "" && !tellsARow.test(name)) sent.delete(name);
  }
});
