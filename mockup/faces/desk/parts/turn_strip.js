// All angles at once. What faces you is clear, what is turned away is pale; drag or use the arrow
// keys to turn. It talks with the cup in the page, not with the server.

const PLACES = [[-180, "back"], [-90, "left"], [0, "front"], [90, "right"], [180, "back"]];

export default function ({ data, parentElement }) {
  const root = parentElement.querySelector(".strip");
  if (!root.round) build(root);
  late(root.picture ??= {}, data.source, (source) => {
    root.round.style.backgroundImage = `url(${source})`;
  });
  root.bars(data.contrast, data.name);
  const turned = (event) => root.face(event.detail.turn_deg);
  window.addEventListener("cup-turned", turned);
  return () => window.removeEventListener("cup-turned", turned);
}

function build(root) {
  const round = root.round = document.createElement("div");
  round.className = "round";
  round.tabIndex = 0;
  round.setAttribute("role", "slider");
  round.setAttribute("aria-label", "Turn of the cup");
  round.setAttribute("aria-valuemin", -180);
  round.setAttribute("aria-valuemax", 180);
  const parts = ["away", "away", "facing"].map((name) => {
    const made = document.createElement("div");
    made.className = name;
    round.append(made);
    return made;
  });
  const bars = document.createElement("div");
  bars.className = "bars";
  bars.setAttribute("role", "img");
  root.append(round, bars);
  root.bars = (contrast, name) => draw(bars, contrast, name);
  PLACES.forEach(([deg, word], i) => {
    const made = document.createElement("span");
    made.className = "degrees" + (i === 0 ? " first" : i === PLACES.length - 1 ? " last" : "");
    made.style.left = `${(deg + 180) / 3.6}%`;
    made.textContent = word;
    root.append(made);
  });

  let turn = 0;
  root.face = (deg) => {
    turn = ((deg + 180) % 360 + 360) % 360 - 180;
    round.setAttribute("aria-valuenow", Math.round(turn));
    round.setAttribute("aria-valuetext", `${Math.round(turn)}° from the front`);
    const at = (turn + 180) / 3.6;
    parts[2].style.left = `${at}%`;
    const low = at - 25, high = at + 25;  // a quarter turn to either side is seen
    const gaps = low < 0 ? [[high, low + 100]] : high > 100 ? [[high - 100, low]] : [[0, low], [high, 100]];
    parts.slice(0, 2).forEach((part, i) => {
      const [from, to] = gaps[i] ?? [0, 0];
      part.style.left = `${from}%`;
      part.style.width = `${Math.max(0, to - from)}%`;
    });
  };
  const ask = (deg) => {
    root.face(deg);
    window.dispatchEvent(new CustomEvent("cup-turn", { detail: { turn_deg: turn } }));
  };
  const at = (event) => {
    const box = round.getBoundingClientRect();
    ask(360 * (event.clientX - box.left) / box.width - 180);
  };
  round.onpointerdown = (event) => { round.setPointerCapture(event.pointerId); at(event); };
  round.onpointermove = (event) => { if (round.hasPointerCapture(event.pointerId)) at(event); };
  round.onkeydown = (event) => {
    const step = { ArrowLeft: -5, ArrowRight: 5, PageDown: -45, PageUp: 45 }[event.key];
    if (step !== undefined) ask(turn + step);
    else if (event.key === "Home") ask(0);
    else if (event.key === "End") ask(180);
    else return;
    event.preventDefault();
  };
  root.face(0);
}

// Contrast of one decal at each angle: a bar as high as its ratio, marked where it is hard to read.
function draw(bars, contrast, name) {
  bars.replaceChildren();
  bars.hidden = contrast.length === 0;
  if (bars.hidden) return;
  const seen = contrast.filter(([, ratio]) => ratio !== null);
  const weak = seen.filter(([, ratio]) => ratio < 3).length;
  const words = `${name}: 3 to 1 or more at ${seen.length - weak} of ${seen.length} angles that show it`;
  bars.setAttribute("aria-label", words);
  bars.title = words;
  for (const [turn, ratio] of seen) {
    const bar = document.createElement("i");
    const at = ((turn + 180) % 360 + 360) % 360;
    bar.style.left = `${at / 3.6}%`;
    bar.style.height = `${Math.min(100, Math.max(12, 100 * Math.log(ratio) / Math.log(10)))}%`;
    bar.className = ratio < 3 ? "weak" : ratio < 4.5 ? "fair" : "good";
    bars.append(bar);
  }
}
