// A click on the drawing places a point, dragging makes a frame; then write. Lengths are millimetres of the
// drawing's own sheet, so they hold at any zoom. Without scripts an item is chosen from the list.
const LEAST_FRAME_MM = 2;
const SVG = "http://www.w3.org/2000/svg";
const paper = document.querySelector("[data-mark-here]");
const form = document.querySelector("form.write");

const field = (name) => form.elements.namedItem(name);
const rounded = (value) => String(Math.round(value * 10) / 10);

const marking = () => {
  const svg = paper.querySelector("svg");
  const { width, height } = svg.viewBox.baseVal;
  const said = form.querySelector("[data-mark-said]");
  let start = null;
  let trace = null;

  // A finger that drags scrolls the drawing, so a touch places a point.
  const byTouch = (event) => event.pointerType === "touch";

  const place = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { x: Math.min(Math.max(at.x, 0), width), y: Math.min(Math.max(at.y, 0), height) };
  };

  const drawn = (from, to) => {
    trace?.remove();
    const isFrame = Math.max(Math.abs(to.x - from.x), Math.abs(to.y - from.y)) >= LEAST_FRAME_MM;
    trace = document.createElementNS(SVG, isFrame ? "rect" : "circle");
    const told = isFrame
      ? {
          x: Math.min(from.x, to.x),
          y: Math.min(from.y, to.y),
          width: Math.abs(to.x - from.x),
          height: Math.abs(to.y - from.y),
          fill: "none",
          "stroke-dasharray": "1.6 0.9",
        }
      : { cx: from.x, cy: from.y, r: 1.2, fill: "none" };
    for (const [name, value] of Object.entries({ ...told, stroke: "#141414", "stroke-width": 0.6 })) {
      trace.setAttribute(name, value);
    }
    svg.append(trace);
    return isFrame;
  };

  const written = (from, to, isFrame, key) => {
    field("x_mm").value = rounded(isFrame ? Math.min(from.x, to.x) : from.x);
    field("y_mm").value = rounded(isFrame ? Math.min(from.y, to.y) : from.y);
    field("width_mm").value = isFrame ? rounded(Math.abs(to.x - from.x)) : "";
    field("height_mm").value = isFrame ? rounded(Math.abs(to.y - from.y)) : "";
    const item = field("item");
    const known = key && [...item.options].some((option) => option.value === key);
    if (known) item.value = key;
    const at = `${field("x_mm").value} / ${field("y_mm").value} mm`;
    const what = known ? `, ${item.selectedOptions[0].text}` : "";
    said.textContent = `${isFrame ? "Frame" : "Point"} at ${at}${what}. Now write.`;
    form.setAttribute("data-changed", "");
    field("text").focus();
  };

  paper.classList.add("marking");
  svg.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || event.target.closest("a")) return;
    if (!byTouch(event)) event.preventDefault();
    start = { at: place(event), key: event.target.closest("[data-key]")?.dataset.key };
    if (!byTouch(event)) svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (start && !byTouch(event)) drawn(start.at, place(event));
  });
  svg.addEventListener("pointerup", (event) => {
    if (!start) return;
    const to = byTouch(event) ? start.at : place(event);
    written(start.at, to, drawn(start.at, to), start.key);
    start = null;
  });
  svg.addEventListener("pointercancel", () => {
    trace?.remove();
    start = null;
  });
};

if (paper && form && field("x_mm")) marking();
