// The proof page: the cup under the chosen option and light, and the customer's answer.
// Follows cup.js and receipt.js in the same script. Text of others is set as text, never as markup.

const told = JSON.parse(document.getElementById("told").textContent);
const byId = (id) => document.getElementById(id);
const bodies = new Map([...document.querySelectorAll("script[data-key]")].map((block) => [block.dataset.key, block]));
const chosen = { option: 0, light: told.lights[0].name };

// ---- the cup ------------------------------------------------------------------------------------
function bytesOf(key) {
  const text = atob(bodies.get(key).textContent), bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return bytes;
}

// A parcel of the chosen option and light without the sections that the viewer holds.
function parcelFor({ option, light }, held) {
  const { common } = told, own = told.headers[`${option} ${light}`];
  const header = { ...common, ...own, sections: { ...common.sections, ...own.sections } };
  const sections = {}, parts = [], has = new Set(held);
  let at = 0;
  for (const [name, facts] of Object.entries(header.sections)) {
    sections[name] = { ...facts };
    if (has.has(facts.key)) continue;
    const body = bytesOf(facts.key);
    Object.assign(sections[name], { at, bytes: body.length });
    parts.push(body);
    at += body.length;
  }
  const head = new TextEncoder().encode(JSON.stringify({ ...header, sections }));
  const whole = new Uint8Array(8 + head.length + at);
  whole.set(new TextEncoder().encode("CUP1"));
  new DataView(whole.buffer).setUint32(4, head.length, true);
  whole.set(head, 8);
  let to = 8 + head.length;
  for (const part of parts) { whole.set(part, to); to += part.length; }
  return whole;
}

const stage = byId("stage"), plain = byId("plain");
told.options[0].still = plain.src;
let turned = false;
const cup = showCup(stage, null, {
  still: plain.src,
  label: told.label,
  onView: () => { if (turned) byId("hint").classList.add("gone"); turned = true; },
  onState: (what) => {
    stage.dataset.state = what;
    document.body.classList.toggle("flat", what === "picture");
    byId("no-turn").hidden = what !== "picture";
  },
});
plain.remove();

async function show() {
  const { option, light } = chosen;
  stage.setAttribute("aria-busy", "true");
  try {
    await cup.update(parcelFor(chosen, cup.held()));
  } catch (error) {
    if (!error.missing) throw error;
    await cup.update(parcelFor(chosen, []));
  } finally {
    if (option === chosen.option && light === chosen.light) stage.removeAttribute("aria-busy");
  }
}

function tell() {
  const option = told.options[chosen.option], light = told.lights.find(({ name }) => name === chosen.light);
  byId("told-light").textContent = light.words;
  for (const element of document.querySelectorAll("[data-option]")) element.hidden = Number(element.dataset.option) !== chosen.option;
  for (const element of document.querySelectorAll("[data-told]")) element.textContent = option[element.dataset.told];
  document.querySelector("[data-other]").hidden = chosen.option === 0;
  const picture = stage.querySelector("img");
  if (picture) picture.src = option.still;
}

for (const input of document.querySelectorAll("#switches input")) {
  input.addEventListener("change", () => {
    if (input.name === "option") chosen.option = Number(input.value);
    else chosen.light = input.value;
    tell();
    show();
  });
}
for (const button of document.querySelectorAll("[data-turn]")) {
  button.addEventListener("click", () => cup.setView({ turn_deg: Number(button.dataset.turn), elevation_deg: 10, zoom: 1, centre: [0, 0] }, { glide: true }));
}
byId("closer").addEventListener("click", () => {
  const { turn_deg, height_mm, zoom } = told.closer;
  cup.setView({ turn_deg, elevation_deg: 10, zoom: 1, centre: [0, 0] });
  const { x, y } = cup.spot(turn_deg, height_mm), { clientWidth: width, clientHeight: height } = stage;
  cup.setView({ zoom, centre: [(2 * x - width) / height, 1 - (2 * y) / height] }, { glide: true });
});
byId("rulers").addEventListener("click", ({ currentTarget: button }) => {
  const on = button.getAttribute("aria-pressed") !== "true";
  button.setAttribute("aria-pressed", String(on));
  cup.show({ rulers: on ? "mm" : null });
});

// ---- the answer ---------------------------------------------------------------------------------
const form = byId("form"), ready = byId("ready"), bar = byId("bar");

function ask(answer) {
  for (const input of form.elements.answer) input.checked = input.value === answer;
  suit();
  byId("answer").scrollIntoView();
  byId("customer").focus({ preventScroll: true });
}

// What the form asks for depends on the answer.
function suit() {
  const change = form.elements.answer.value === "change asked";
  byId("comment-label").textContent = change ? "What should change?" : "Anything to add? (optional)";
  byId("looked-row").hidden = change;
  byId("write").textContent = change ? "Write my wish" : "Write my approval";
}

function complain(id, words) {
  const at = byId(`${id}-wrong`), field = byId(id);
  at.textContent = words;
  at.hidden = !words;
  field.setAttribute("aria-invalid", String(Boolean(words)));
  if (words) field.focus();
  return !words;
}

function checked() {
  const change = form.elements.answer.value === "change asked";
  const right = [            // from the last to the first, which is where the eye is led
    complain("customer", byId("customer").value.trim() ? "" : "Please write your name."),
    complain("comment", !change || byId("comment").value.trim() ? "" : "Please write what should change."),
    complain("looked", change || byId("looked").checked ? "" : "Please look at lettering, colours and sizes first, then tick this."),
  ];
  return right.every(Boolean);
}

form.addEventListener("change", suit);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  if (!checked()) return;
  const option = told.options[chosen.option], answer = form.elements.answer.value;
  const receipt = writeReceipt({
    proof: told.proof, order: told.order, revision: told.revision, palette: option.palette,
    fingerprint: option.fingerprint, answer, comment: byId("comment").value.trim(),
    customer: byId("customer").value.trim(), moment: receiptMoment(new Date()),
  }, told.key);
  deliver(receipt, `${answer === "approved" ? "Approved" : "Change asked"}: ${told.order}, revision ${told.revision}`);
});

const MOST_MAIL = 12000;     // letters of a mail's address line that programs take for sure
let file = null;

function deliver(receipt, subject) {
  byId("receipt").value = receipt;
  const body = encodeURIComponent(receipt.replace(/\n/g, "\r\n")), long = body.length > MOST_MAIL;
  const short = encodeURIComponent("Please find my answer in the file that I attach.\r\n");
  byId("mail").href = `mailto:${encodeURIComponent(told.reply_to).replace(/%40/g, "@")}?subject=${encodeURIComponent(subject)}&body=${long ? short : body}`;
  byId("attach").hidden = !long;
  if (file) URL.revokeObjectURL(file);
  file = URL.createObjectURL(new Blob([receipt], { type: "text/plain;charset=utf-8" }));
  Object.assign(byId("save"), { href: file, download: `answer-${told.proof}.txt` });
  byId("copied").textContent = "";
  form.hidden = true;
  ready.hidden = false;
  byId("ready-head").focus();
}

byId("copy").addEventListener("click", async () => {
  const area = byId("receipt");
  area.select();
  let done = false;
  try { await navigator.clipboard.writeText(area.value); done = true; } catch { done = document.execCommand("copy"); }
  byId("copied").textContent = done ? "Copied. Paste it into a message to the maker." : "It is marked: copy it with your own keys.";
});
byId("again").addEventListener("click", () => { ready.hidden = true; form.hidden = false; byId("customer").focus(); });
for (const button of bar.querySelectorAll("button")) button.addEventListener("click", () => ask(button.dataset.answer));
new IntersectionObserver(([{ isIntersecting }]) => bar.classList.toggle("away", isIntersecting), { threshold: 0.15 }).observe(byId("answer"));

for (const id of ["hint", "switches", "bar"]) byId(id).hidden = false;
for (const element of document.querySelectorAll(".sides, #answer")) element.hidden = false;
suit();
tell();
show();
