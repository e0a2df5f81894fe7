// The customer's receipt, letter for letter as receipt.py writes it. Plain functions without a
// library: pages opened from a file have no WebCrypto on some phones.

const RECEIPT_LINE = 72;

// Text of the receipt. facts: proof, order, revision, palette, fingerprint, answer ("approved" or
// "change asked"), comment, customer, moment; key: hexadecimal.
function writeReceipt(facts, key) {
  const whole = { format: 1 };
  for (const name of Object.keys(facts)) {
    whole[name] = typeof facts[name] === "string" ? wellFormed(facts[name]) : facts[name];
  }
  const words = [
    `${whole.answer.toUpperCase()}: ${whole.order}, revision ${whole.revision}, ${whole.palette}`,
    `Name: ${whole.customer}`,
    `When: ${whole.moment}`,
  ];
  if (whole.comment) words.push(`Comment: ${whole.comment}`);
  words.push("", "For the maker's program. Please leave the lines below as they are:");
  const spelled = spelledReceipt({ ...whole, signature: receiptSignature(whole, key) });
  for (let i = 0; i < spelled.length; i += RECEIPT_LINE) {
    words.push(spelled.slice(i, i + RECEIPT_LINE));
  }
  return words.join("\n") + "\n";
}

// The moment of a Date by its own clock, as ISO 8601 with its offset.
function receiptMoment(date) {
  const two = (n) => String(Math.abs(n)).padStart(2, "0");
  const away = -date.getTimezoneOffset(); // minutes east of Greenwich
  const day = `${String(date.getFullYear()).padStart(4, "0")}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  const time = `${two(date.getHours())}:${two(date.getMinutes())}:${two(date.getSeconds())}`;
  return `${day}T${time}${away < 0 ? "-" : "+"}${two(Math.trunc(away / 60))}:${two(away % 60)}`;
}

// HMAC-SHA-256 (RFC 2104) over canonical JSON (RFC 8785), which for a flat object of text and
// whole numbers is JSON.stringify of its sorted pairs.
function receiptSignature(whole, key) {
  const canonical = JSON.stringify(sortedPairs(whole));
  const block = new Uint8Array(64);
  for (let i = 0; i < key.length / 2; i++) block[i] = parseInt(key.slice(2 * i, 2 * i + 2), 16);
  const message = new TextEncoder().encode(canonical);
  const inner = sha256(joined(block.map((b) => b ^ 0x36), message));
  const outer = sha256(joined(block.map((b) => b ^ 0x5c), inner));
  return Array.from(outer, (b) => b.toString(16).padStart(2, "0")).join("");
}

function sortedPairs(whole) {
  const sorted = {};
  for (const name of Object.keys(whole).sort()) sorted[name] = whole[name];
  return sorted;
}

// JSON in letters that no mail program touches: all others as \uXXXX, by UTF-16 unit.
function spelledReceipt(whole) {
  const escaped = (text) =>
    text.replace(/[^0-9A-Za-z._:+-]/g, (unit) => "\\u" + unit.charCodeAt(0).toString(16).padStart(4, "0"));
  const pairs = Object.entries(sortedPairs(whole)).map(([name, value]) =>
    typeof value === "number" ? `"${name}":${value}` : `"${name}":"${escaped(value)}"`,
  );
  return `{${pairs.join(",")}}`;
}

// Halves of letters become U+FFFD.
function wellFormed(text) {
  return new TextDecoder("utf-8", { ignoreBOM: true }).decode(new TextEncoder().encode(text));
}

function joined(first, second) {
  const both = new Uint8Array(first.length + second.length);
  both.set(first);
  both.set(second, first.length);
  return both;
}

// SHA-256 (FIPS 180-4) of a Uint8Array.
function sha256(bytes) {
  const padded = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 0x20000000));
  view.setUint32(padded.length - 4, (bytes.length << 3) >>> 0);
  const { start, rounds } = sha256Constants();
  const state = Uint32Array.from(start);
  for (let at = 0; at < padded.length; at += 64) sha256Block(state, view, at, rounds);
  const digest = new DataView(new ArrayBuffer(32));
  state.forEach((word, i) => digest.setUint32(4 * i, word));
  return new Uint8Array(digest.buffer);
}

function sha256Block(state, view, at, rounds) {
  const turn = (x, n) => (x >>> n) | (x << (32 - n));
  const w = new Uint32Array(64);
  for (let i = 0; i < 64; i++) {
    if (i < 16) {
      w[i] = view.getUint32(at + 4 * i);
      continue;
    }
    const s0 = turn(w[i - 15], 7) ^ turn(w[i - 15], 18) ^ (w[i - 15] >>> 3);
    const s1 = turn(w[i - 2], 17) ^ turn(w[i - 2], 19) ^ (w[i - 2] >>> 10);
    w[i] = w[i - 16] + s0 + w[i - 7] + s1;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let i = 0; i < 64; i++) {
    const s1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + rounds[i] + w[i]) | 0;
    const s0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => (state[i] += word));
}

// First 32 bits of the fractions of square and cube roots of primes; the test vectors of FIPS
// 180-4 hold them.
function sha256Constants() {
  const primes = [];
  for (let n = 2; primes.length < 64; n++) {
    if (primes.every((p) => n % p)) primes.push(n);
  }
  const bits = (root) => Math.floor((root - Math.floor(root)) * 0x100000000);
  return {
    start: primes.slice(0, 8).map((p) => bits(Math.sqrt(p))),
    rounds: primes.map((p) => bits(Math.cbrt(p))),
  };
}
