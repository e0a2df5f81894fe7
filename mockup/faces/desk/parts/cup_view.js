// The cup as a part of the page: fetches what it lacks, tells where it was clicked and how it is
// turned. What follows cup.js in one script; the view lives on when the page changes.

const KEPT = "tumbler-mockup-view";

async function fetched(url, held, signal) {
  const answer = await fetch(url, { method: "POST", body: held.join("\n"), signal });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.arrayBuffer();
}

function keptView() {
  try { return JSON.parse(sessionStorage.getItem(KEPT)) ?? {}; } catch { return {}; }
}

function build(root, data) {
  const cup = showCup(root.querySelector(".cup"), null, {
    view: keptView(),
    label: data.label,
    words: { none: "" },  // a still takes its place
    onPick: (place) => root.act({ ...place, at: Date.now() }),
    onView: (view) => {
      sessionStorage.setItem(KEPT, JSON.stringify(view));
      window.dispatchEvent(new CustomEvent("cup-turned", { detail: view }));
    },
    onState: (state) => { root.dataset.state = state; standIn(root); },
    onTrouble: (error) => { root.dataset.trouble = String(error); setTimeout(() => standIn(root)); },
  });
  const turn = ({ detail }) => cup.setView(detail, { glide: detail.glide });
  window.addEventListener("cup-turn", turn);
  window.dispatchEvent(new CustomEvent("cup-turned", { detail: cup.view() }));
  return { cup, url: "", stop: () => { window.removeEventListener("cup-turn", turn); cup.dispose(); } };
}

function standIn(root) {  // where the cup cannot be drawn here, the server draws a still
  const picture = root.querySelector(".cup img");
  if (root.dataset.state !== "picture" || !picture) return;
  if (!picture.src.endsWith(root.still)) picture.src = root.still;
  picture.hidden = false;
  root.querySelector(".wait").hidden = picture.complete;
  picture.onload = () => { root.querySelector(".wait").hidden = true; };
}

async function load(root, shown, url) {
  shown.asked?.abort();
  const asked = shown.asked = new AbortController();
  root.dataset.loading = url;
  try {
    let parcel = await fetched(url, shown.cup.held(), asked.signal);
    root.dataset.arrived = url;
    performance.mark("parcel-arrived", { detail: { url, bytes: parcel.byteLength } });
    try { await shown.cup.update(parcel); } catch (error) {
      if (!error.missing) throw error;
      await shown.cup.update(await fetched(url, [], asked.signal));
    }
    root.dataset.drawn = url;
    performance.mark("parcel-drawn", { detail: { url } });
  } catch (error) {
    if (error.name !== "AbortError") root.dataset.trouble = String(error);
  }
}

export default function ({ data, parentElement, setTriggerValue }) {
  const root = parentElement.querySelector(".sight");
  root.act = (place) => setTriggerValue("spot", place);
  root.still = data.still;
  root.shown ??= build(root, data);
  standIn(root);
  const { shown } = root;
  shown.cup.show({ rulers: data.rulers, seam: data.seam, marks: data.marks });
  root.classList.toggle("placing", data.placing);
  if (shown.url !== data.parcel) {
    shown.url = data.parcel;
    load(root, shown, data.parcel);
  }
  return () => setTimeout(() => {
    if (root.isConnected || !root.shown) return;
    root.shown.stop();
    root.shown = null;
  });
}
