// The flat with its rulers, its front line and its seam; a click gives a place on it in mm.

const RULER = 30, NS = "http://www.w3.org/2000/svg", MM_PER_INCH = 25.4;

function add(parent, name, attributes, words) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words !== undefined) made.textContent = words;
  parent.append(made);
  return made;
}

function ticks(length_mm, unit, px_per_mm) {
  const steps = unit === "in" ? [1 / 4, 1 / 2, 1, 2, 4] : [5, 10, 20, 50, 100];
  const one = unit === "in" ? MM_PER_INCH : 1;
  const numbered = steps.find((step) => step * one * px_per_mm >= 34) ?? steps[steps.length - 1];
  const small = numbered / (unit === "in" ? 4 : 5);
  const found = [];
  for (let i = 0; i * small * one <= length_mm + 1e-6; i++) {
    const value = i * small, long = Math.abs(value / numbered - Math.round(value / numbered)) < 1e-6;
    found.push({ mm: value * one, long, number: long ? String(Math.round(value * 100) / 100) : "" });
  }
  return found;
}

export default function ({ data, parentElement, setTriggerValue }) {
  const root = parentElement.querySelector(".flat");
  const state = root.state ??= { shown: "", width: 0, picture: {} };
  state.data = data;
  state.spot = (spot) => setTriggerValue("spot", { ...spot, at: Date.now() });
  if (!state.watch) {
    state.watch = new ResizeObserver(() => draw(root, state));
    state.watch.observe(root);
  }
  draw(root, state);
  return () => { state.watch?.disconnect(); state.watch = null; };
}

function draw(root, state) {
  const data = state.data, width = root.clientWidth;
  if (!width) return;
  const told = JSON.stringify([data, width]);
  if (told === state.shown) return;
  state.shown = told;
  const scale = (width - RULER - 8) / data.width_mm;
  const w = data.width_mm * scale, h = data.height_mm * scale;
  const x = (mm) => RULER + mm * scale, y = (mm) => 6 + h - mm * scale;
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("width", width);
  svg.setAttribute("height", h + RULER + 10);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", data.label);
  const points = (line) => line.map(([a, b]) => `${x(a).toFixed(1)},${y(b).toFixed(1)}`).join(" ");
  add(svg, "polygon", { points: points(data.outline_mm), class: "sheet" });
  const image = add(svg, "image", { href: state.picture.shown ?? "", x: RULER, y: 6, width: w, height: h });
  image.setAttribute("preserveAspectRatio", "none");
  late(state.picture, data.source, (source) => root.querySelector("image").setAttribute("href", source));
  add(svg, "polyline", { points: points(data.front_mm), class: "front" });
  for (const seam of data.seams_mm) add(svg, "polyline", { points: points(seam), class: "seam" });
  const [fx, fy] = data.front_mm[1];
  add(svg, "text", { x: x(fx) + 4, y: y(fy) + 12, class: "name" }, "front");
  const [sx, sy] = data.seams_mm[0][1];
  add(svg, "text", { x: x(sx) + 4, y: y(sy) + 12, class: "name" }, "seam");
  if (data.mark_mm) {
    const [mx, my] = [x(data.mark_mm[0]), y(data.mark_mm[1])];
    for (const name of ["halo", "mark"])
      add(svg, "path", { d: `M${mx - 9} ${my}h18M${mx} ${my - 9}v18`, class: name });
  }
  for (const tick of ticks(data.width_mm, data.unit, scale)) {
    const at = x(tick.mm);
    add(svg, "line", { x1: at, x2: at, y1: h + 8, y2: h + (tick.long ? 14 : 11), class: "tick" });
    if (tick.long) add(svg, "text", { x: at, y: h + 24, class: "number", "text-anchor": "middle" },
      tick.mm === 0 ? data.unit : tick.number);
  }
  for (const tick of ticks(data.height_mm, data.unit, scale)) {
    const at = y(tick.mm);
    add(svg, "line", { x1: RULER - 2, x2: RULER - (tick.long ? 8 : 5), y1: at, y2: at, class: "tick" });
    if (tick.long && tick.mm > 0)
      add(svg, "text", { x: RULER - 9, y: at + 3.5, class: "number", "text-anchor": "end" }, tick.number);
  }
  svg.onclick = (event) => {
    const box = svg.getBoundingClientRect();
    const mm = [(event.clientX - box.left - RULER) / scale, (h + 6 - event.clientY + box.top) / scale];
    if (mm[0] < 0 || mm[1] < 0 || mm[0] > data.width_mm || mm[1] > data.height_mm) return;
    state.spot({ x_mm: mm[0], y_mm: mm[1] });
  };
  svg.classList.toggle("placing", data.placing);
  root.replaceChildren(svg);
}
