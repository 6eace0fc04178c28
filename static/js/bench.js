// Runs the bench while showing how far it is; it can be stopped, and then nothing is kept. Without scripts the
// form waits for the whole run.
const form = document.getElementById("bench");
const place = document.getElementById("bench-progress");

const shown = () => {
  const label = document.createElement("label");
  const progress = document.createElement("progress");
  const stop = document.createElement("button");
  progress.max = 1;
  label.append("Trying ", progress);
  stop.type = "button";
  stop.textContent = "Stop";
  const line = document.createElement("p");
  line.className = "actions";
  line.append(label, stop);
  place.replaceChildren(line);
  return { progress, stop };
};

const told = (text) => {
  const line = document.createElement("p");
  line.textContent = text;
  place.replaceChildren(line);
};

const take = (line, progress) => {
  const step = JSON.parse(line);
  if ("address" in step) {
    window.location.assign(step.address);
  } else {
    progress.max = step.total;
    progress.value = step.done;
  }
};

const run = async () => {
  const stopping = new AbortController();
  const { progress, stop } = shown();
  const button = form.querySelector("button:not([type])");
  button.disabled = true;
  stop.addEventListener("click", () => stopping.abort());
  try {
    const answer = await fetch(form.action, {
      method: "POST",
      body: new FormData(form),
      headers: { Accept: "application/x-ndjson" },
      signal: stopping.signal,
    });
    if (answer.status === 422 || answer.redirected) return form.submit();
    if (!answer.ok) throw new Error(answer.status);
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    let last = "";
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      const lines = (rest + part.value).split("\n");
      rest = lines.pop();
      for (const line of lines) {
        take(line, progress);
        last = line;
      }
    }
    if (!last.includes("address")) throw new Error("cut off");
  } catch (error) {
    button.disabled = false;
    told(stopping.signal.aborted ? "Stopped; nothing is kept." : "The run was cut off; nothing is kept.");
  }
};

if (form) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    run();
  });
}
