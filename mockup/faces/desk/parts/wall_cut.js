// The stack drawn as a cut through the wall: steel below, the outside above, each band as thick as
// the logarithm of its layer. Bands are picked and reordered by pointer and by keyboard.

const THINNEST_MM = 0.004, PX_PER_DECADE = 22, CUT_PX = 92;
const NS = "http://www.w3.org/2000/svg";

function heightOf(mm) {
  return Math.max(24, Math.round(PX_PER_DECADE * Math.log10(mm / THINNEST_MM)));
}

function chance(seed) {  // a small generator, so that a band looks the same each time
  let s = seed * 2654435761 >>> 0 || 1;
  return () => { s ^= s << 13; s >>>= 0; s ^= s >>> 17; s ^= s << 5; s >>>= 0; return s / 4294967296; };
}

function add(parent, name, attributes) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent.append(made);
  return made;
}

function mixed(colours, share) {
  let sum = 0;
  for (const [colour, part] of colours) { sum += part; if (share <= sum) return colour; }
  return colours[colours.length - 1][0];
}

const CLEAR = "#e6ecee";

const DRAW = {
  steel(svg, band, h) {
    add(svg, "rect", { width: CUT_PX, height: h, fill: "#b4b8bc" });
    for (let x = -h; x < CUT_PX; x += 7)
      add(svg, "line", { x1: x, y1: h, x2: x + h, y2: 0, stroke: "#7d8388", "stroke-width": 1 });
  },
  base(svg, band, h) {
    add(svg, "rect", { width: CUT_PX, height: h, fill: band.colours[0][0] });
  },
  wrap(svg, band, h) {
    let x = 0;
    for (const [colour, share] of band.colours) {
      add(svg, "rect", { x, width: share * CUT_PX + 0.5, height: h, fill: colour });
      x += share * CUT_PX;
    }
    if (band.note === "fabric")
      for (let i = 3; i < CUT_PX; i += 8)
        add(svg, "circle", { cx: i, cy: h / 2, r: Math.min(4, h / 4), fill: "none", stroke: "#0003" });
    add(svg, "rect", { y: h - 3, width: CUT_PX, height: 3, fill: "#fff", opacity: 0.75 });
  },
  glitter(svg, band, h, random) {
    add(svg, "rect", { width: CUT_PX, height: h, fill: CLEAR });
    const long = 5 + 9 * Math.log10(1 + band.flake_mm * 4);
    const count = Math.max(2, Math.round(band.covers * CUT_PX * 3.2 / long));
    for (let i = 0; i < count; i++) {
      const x = random() * CUT_PX, y = 2.5 + random() * (h - 5), tilt = (random() - 0.5) * 26;
      add(svg, "rect", {
        x: x - long / 2, y: y - 1.25, width: long, height: 2.5, rx: 0.6,
        fill: mixed(band.colours, random()), transform: `rotate(${tilt} ${x} ${y})`,
      });
    }
  },
  decal(svg, band, h) {
    add(svg, "rect", { width: CUT_PX, height: h, fill: CLEAR });
    const count = band.colours.length, thick = (h - 6) / count;
    band.colours.forEach(([colour], i) => {
      const inset = 14 + (count > 1 ? 8 * i / (count - 1) : 8);
      add(svg, "rect", {
        x: inset, y: h - 3 - (i + 1) * thick, width: CUT_PX - 2 * inset, height: thick, fill: colour,
      });
    });
    if (band.note === "foil")
      add(svg, "rect", { x: 22, y: 3, width: CUT_PX - 44, height: 2, fill: "#fff", opacity: 0.6 });
  },
  coat(svg, band, h) {
    add(svg, "rect", { width: CUT_PX, height: h, fill: band.colours[0][0] });
    add(svg, "rect", { width: CUT_PX, height: h, fill: "url(#depth)" });
    add(svg, "line", { x1: 0, y1: 0.75, x2: CUT_PX, y2: 0.75, stroke: "#fff", "stroke-width": 1.5 });
  },
};

function picture(band) {
  const h = heightOf(band.mm);
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", `0 0 ${CUT_PX} ${h}`);
  svg.setAttribute("width", CUT_PX);
  svg.setAttribute("height", h);
  svg.setAttribute("preserveAspectRatio", "xMidYMid slice");
  svg.setAttribute("aria-hidden", "true");
  const defs = add(svg, "defs", {});
  const fade = add(defs, "linearGradient", { id: "depth", x1: 0, x2: 0, y1: 0, y2: 1 });
  add(fade, "stop", { offset: 0, "stop-color": "#fff", "stop-opacity": 0.65 });
  add(fade, "stop", { offset: 1, "stop-color": "#9fb3ba", "stop-opacity": 0.35 });
  DRAW[band.kind](svg, band, h, chance((band.index ?? -1) + 7));
  return svg;
}

function text(parent, name, className, words) {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = words;
  parent.append(made);
  return made;
}

export default function ({ data, parentElement, setTriggerValue }) {
  const root = parentElement.querySelector(".cut");
  const state = root.state ??= { shown: "" };
  state.act = (act) => setTriggerValue("act", { ...act, at: Date.now() });
  const told = JSON.stringify(data);
  if (told === state.shown) return;
  state.shown = told;
  const old = root.querySelector("[role=listbox]");
  const focused = old !== null && parentElement.activeElement === old;
  root.replaceChildren();
  text(root, "p", "end", "outside");
  const list = text(root, "div", "bands", "");
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "Layers, from the outside in to the steel");
  list.tabIndex = 0;
  const bands = [...data.bands].reverse();
  const rows = bands.map((band) => row(list, band));
  text(root, "p", "end", "inside");
  text(root, "p", "scale", "Thicknesses on a logarithmic scale; * typical.");
  let picked = bands.findIndex((band) => band.index === data.selected);
  mark();
  if (focused) list.focus();

  function row(parent, band) {
    const made = text(parent, "div", `band ${band.kind}`, "");
    made.setAttribute("role", "option");
    made.id = `band${band.index ?? "steel"}`;
    made.append(picture(band));
    const words = text(made, "div", "words", "");
    text(words, "span", "title", band.title);
    text(words, "span", "thick", `${band.thick}${band.typical ? "*" : ""}${band.note ? " · " + band.note : ""}`);
    return made;
  }

  function mark() {
    rows.forEach((made, i) => made.setAttribute("aria-selected", i === picked));
    if (picked >= 0) list.setAttribute("aria-activedescendant", rows[picked].id);
  }

  function pick(i) {
    if (i < 0 || i >= bands.length || i === picked) return;
    picked = i;
    mark();
    state.act({ do: "pick", index: bands[i].index });
  }

  function move(from, to) {  // places in the list, the steel its last
    const last = bands.length - 2;
    if (from < 0 || from > last || to < 0 || to > last || from === to) return;
    state.act({ do: "move", from: last - from, to: last - to });
  }

  list.onkeydown = (event) => {
    const way = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (way !== undefined && event.altKey) move(picked, picked + way);
    else if (way !== undefined) pick(picked < 0 ? bands.length - 1 : picked + way);
    else if (event.key === "Home") pick(0);
    else if (event.key === "End") pick(bands.length - 1);
    else if (event.key === "Delete" && bands[picked]?.index != null)
      state.act({ do: "remove", index: bands[picked].index });
    else return;
    event.preventDefault();
  };

  rows.forEach((made, i) => {
    made.onpointerdown = (event) => {
      if (event.button !== 0) return;
      const start = event.clientY;
      let to = i, dragging = false;
      const follow = (e) => {
        if (e.pointerType === "touch" && !dragging) return;
        if (!dragging && Math.abs(e.clientY - start) < 6) return;
        dragging = bands[i].index !== null;
        if (!dragging) return;
        made.classList.add("held");
        to = place(e.clientY, i);
        rows.forEach((other, j) => {
          other.classList.toggle("above", j === to && to < i);
          other.classList.toggle("below", j === to && to > i);
        });
      };
      const stop = (e) => {
        window.removeEventListener("pointermove", follow);
        window.removeEventListener("pointerup", stop);
        window.removeEventListener("pointercancel", stop);
        made.classList.remove("held");
        rows.forEach((other) => other.classList.remove("above", "below"));
        if (e.type === "pointercancel") return;
        if (dragging) move(i, to);
        else { list.focus({ preventScroll: true }); pick(i); }
      };
      window.addEventListener("pointermove", follow);
      window.addEventListener("pointerup", stop);
      window.addEventListener("pointercancel", stop);
    };
  });

  function place(y, i) {
    for (let j = 0; j < rows.length - 1; j++) {
      const box = rows[j].getBoundingClientRect();
      if (y < box.bottom) return j;
    }
    return rows.length - 2;
  }
}
