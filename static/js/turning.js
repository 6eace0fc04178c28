// Runs the search for turning points while showing how far it is; it can be stopped. Without scripts the
// same place holds a link that waits for the whole search.
const place = document.getElementById("turning");
const plain = place.innerHTML;

const shown = () => {
  const label = document.createElement("label");
  const progress = document.createElement("progress");
  const stop = document.createElement("button");
  progress.max = 1;
  label.append("Searching ", progress);
  stop.type = "button";
  stop.textContent = "Stop";
  const line = document.createElement("p");
  line.className = "actions";
  line.append(label, stop);
  place.replaceChildren(line);
  return { progress, stop };
};

const given_up = (text) => {
  place.innerHTML = plain;
  const told = document.createElement("p");
  told.textContent = text;
  place.prepend(told);
};

const take = (line, progress) => {
  const told = JSON.parse(line);
  if ("html" in told) {
    place.innerHTML = told.html;
  } else {
    progress.max = told.total;
    progress.value = told.done;
  }
};

const search = async () => {
  const stopping = new AbortController();
  const { progress, stop } = shown();
  stop.addEventListener("click", () => stopping.abort());
  try {
    const answer = await fetch(place.dataset.search, { signal: stopping.signal });
    if (!answer.ok || answer.redirected) throw new Error(answer.status);
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      const lines = (rest + part.value).split("\n");
      rest = lines.pop();
      for (const line of lines) take(line, progress);
    }
    if (place.contains(progress)) throw new Error("cut off");
  } catch (error) {
    given_up(stopping.signal.aborted ? "Stopped." : "The search was cut off.");
  }
};

search();
