// Of a description of two hundred fields, showing a change sends only those that hold something: the rest is
// blank. A row keeps its name or key, so that one just added is still there. They go as one JSON object, which
// is read in a fiftieth of the time that a form takes. Without scripts the form is sent whole.
const tellsARow = /\]\.(name|key)$/;

htmx.defineExtension("told", {
  onEvent: (name, event) => {
    if (name === "htmx:configRequest") event.detail.headers["Content-Type"] = "application/json";
    return true;
  },
  encodeParameters: (request, parameters) => {
    const told = {};
    parameters.forEach((value, name) => {
      if (value !== "" || tellsARow.test(name)) told[name] = value;
    });
    return JSON.stringify(told);
  },
});

// A look keeps what it was told, and so does a row added, moved or taken out. They go one after the other, so
// that the later one is kept: a row waits for the looks under way, and while a row is under way no look begins
// (its answer asks for one).
let looks = 0;
let rows = 0;
let waiting = null;
const isLook = (elt) => elt.id === "changes";
const isRow = (elt) => elt.closest("#description") !== null;

document.addEventListener("htmx:confirm", (event) => {
  const { elt, issueRequest } = event.detail;
  if (isLook(elt) && rows > 0) event.preventDefault();
  if (isRow(elt) && looks > 0) {
    event.preventDefault();
    waiting = issueRequest;
  }
});

document.addEventListener("htmx:beforeSend", ({ detail: { elt } }) => {
  if (isLook(elt)) looks += 1;
  else if (isRow(elt)) rows += 1;
});

document.addEventListener("htmx:afterRequest", ({ detail: { elt, requestConfig } }) => {
  if (isLook(elt)) looks -= 1;
  // The button of a row is gone from the page once its answer stands there.
  else if (requestConfig.target.id === "description") rows -= 1;
  if (looks > 0 || waiting === null) return;
  const issueRequest = waiting;
  waiting = null;
  issueRequest(true);
});
