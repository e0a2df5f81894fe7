// The cup in the browser: WebGL 2 draws shade.glsl as it stands, no library.
//
//   import { showCup } from "./cup.js";
//   const cup = showCup(element, parcel, options);
//
// element   any block; its CSS gives width and height, the cup fills it.
// parcel    ArrayBuffer or Uint8Array that mockup/render/web/parcel.py packed; null: later, by update().
// options   all may be left out
//   view      { turn_deg, elevation_deg, zoom, centre: [across, up] } to begin with. turn_deg is the turn
//             of the wall that faces the eye, 0 the front, growing to the right; zoom 1 shows what
//             `render` shows; centre is the middle of what is seen, in half heights of the whole picture.
//   still     address of a picture, shown until the cup is drawn and wherever it cannot be
//   label     what the cup is called, for those who cannot see it
//   rulers    "mm", "in" or null; seam: turns (deg) of seams to draw, [] for none
//   marks     [{ turn_deg, height_mm, label }] places to point out
//   samples   a pixel, at rest: 1, 4, 9 or 16; left out: as many as `render` takes
//   pixels    most device pixels a CSS pixel (2)
//   asleep_s  seconds out of sight after which the graphics memory is given back (60)
//   words     texts in place of those in WORDS below
//   onPick    ({ turn_deg, height_mm, x_mm, y_mm }) a place of the wall was clicked, tapped, or
//             chosen by Enter; x_mm, y_mm in flat space
//   onView    (view) it was turned, tilted or zoomed
//   onState   ("waiting" | "moving" | "resting" | "still" | "lost" | "picture") what is shown: nothing yet,
//             a quick frame, a finer one, the still's own quality, a lost context, the plain picture
//   onTrouble (Error) why the plain picture is shown
//
// The handle:
//   update(parcel)   whatever changed: maps, table, light; a promise, done once the first new frame
//                    is on screen. Rejects with error.missing (names) where the parcel leaves out
//                    sections that are not held: send it whole then.
//   held()           keys of the sections held, for Parcel.to_bytes(held)
//   view(), setView(some, { glide })   glide turns there smoothly, unless less motion is wanted
//   show({ rulers, seam, marks })      what is drawn over the cup
//   place(x, y)      the wall's place under a point of the element (CSS px), or null
//   spot(turn_deg, height_mm)          { x, y, seen } where a place is on the element
//   picture({ width, height, samples, view })   a promise of an ImageBitmap, drawn apart
//   settled()        a promise, done when the still's own quality is on screen
//   state()          as onState tells
//   dispose()        takes everything away
//
// One finger sideways turns and leaves up and down to the page; two tilt, pinch, and move what is
// zoomed. The mouse turns and tilts, with Shift it moves; the wheel zooms once the cup has focus.
// Keys: arrows turn and tilt (Shift: by 1°), + and − zoom, Home shows the front, End the back.

const FORMAT = 1;
const MOVING_FOIL = 12;      // samples of foil while moving
const REST_AFTER_MS = 160;   // without a touch
const FRAME_MS = 33;         // that a moving frame may take
const BAND_MS = 60;          // that a part of a finer frame may take
const HELD_BYTES = 24e6;     // deflated sections kept for later
const MOST_ZOOM = 8;
const TILT = [-5, 80];
const VIEW = { turn_deg: 0, elevation_deg: 10, zoom: 1, centre: [0, 0] };
const WORDS = {
  label: "Cup",
  keys: "Arrow keys turn and tilt, plus and minus zoom, Home shows the front, End the back.",
  seam: "seam",
  seen: (turn, above, times) => `turned by ${turn}°, from ${above}° above, ${times} times as large`,
  none: "This browser cannot draw the cup: it has no WebGL 2.",
};

const rad = (deg) => (deg * Math.PI) / 180;
const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const wrap180 = (deg) => ((((deg + 180) % 360) + 360) % 360) - 180;
const add = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const k = Math.hypot(...a); return [a[0] / k, a[1] / k, a[2] / k]; };

// ---- parcels -----------------------------------------------------------------------------------
class Shelf {                // sections by key, deflated as they came
  constructor() { this.kept = new Map(); }

  take(data) {
    const bytes = data instanceof Uint8Array ? data : new Uint8Array(data);
    const text = (from, to) => new TextDecoder().decode(bytes.subarray(from, to));
    if (bytes.length < 8 || text(0, 4) !== "CUP1") throw new Error("This is no parcel of a cup.");
    const end = 8 + new DataView(bytes.buffer, bytes.byteOffset).getUint32(4, true);
    const header = JSON.parse(text(8, end));
    if (header.format !== FORMAT) throw new Error(`This viewer reads parcels of format ${FORMAT}, not ${header.format}. Load the page again.`);
    const missing = [];
    for (const [name, facts] of Object.entries(header.sections)) {
      if ("at" in facts) this.kept.set(facts.key, bytes.slice(end + facts.at, end + facts.at + facts.bytes));
      else if (!this.kept.has(facts.key)) missing.push(name);
      else { const body = this.kept.get(facts.key); this.kept.delete(facts.key); this.kept.set(facts.key, body); }
    }
    if (missing.length) throw Object.assign(new Error(`The parcel leaves out ${missing.join(", ")}.`), { missing });
    return header;
  }

  trim(header) {             // the oldest go first; what is shown stays
    const shown = new Set(Object.values(header.sections).map((facts) => facts.key));
    let total = 0;
    for (const body of this.kept.values()) total += body.length;
    for (const [key, body] of this.kept) {
      if (total <= HELD_BYTES) return;
      if (!shown.has(key)) { total -= body.length; this.kept.delete(key); }
    }
  }

  async open(facts) {        // a typed array; maps of coding `left` channel by channel; a bitmap
    if (facts.coding === "jpeg") return createImageBitmap(new Blob([this.kept.get(facts.key)], { type: "image/jpeg" }), { colorSpaceConversion: "none" });
    const stream = new Blob([this.kept.get(facts.key)]).stream().pipeThrough(new DecompressionStream("deflate"));
    const raw = await new Response(stream).arrayBuffer();
    if (facts.kind === "text") return new TextDecoder().decode(raw);
    const Kind = { u8: Uint8Array, u16: Uint16Array, u32: Uint32Array, f16: Uint16Array, f32: Float32Array }[facts.kind];
    return facts.coding === "left" ? unleft(new Uint8Array(raw), facts) : new Kind(raw);
  }
}

function unleft(steps, { kind, shape }) {
  const [rows, columns, channels] = shape, size = rows * columns * channels;
  const planes = kind === "u8" ? steps : new Uint16Array(size);
  for (let row = 0; row < size; row += columns) {
    let value = 0;
    if (kind === "u8") for (let i = row; i < row + columns; i++) planes[i] = value = (value + steps[i]) & 255;
    else for (let i = row; i < row + columns; i++) planes[i] = value = (value + (steps[i] << 8) + steps[size + i]) & 65535;
  }
  return planes;
}

// ---- camera ------------------------------------------------------------------------------------
// As mockup/render/request.py's camera_for; the lens then shows a part of that picture, enlarged.
function cameraFor({ camera, cup }, aspect, view, below = false) {
  const elevation = rad(view.elevation_deg), tangent = Math.tan(rad(camera.fov_deg) / 2);
  const seen = cup.height_mm * Math.cos(elevation) + 2 * cup.radius_mm * Math.abs(Math.sin(elevation));
  const distance = Math.max((seen * camera.room_above) / 2, (cup.radius_mm * camera.room_beside) / aspect) / tangent + cup.radius_mm;
  const flip = below ? -1 : 1, target = [0, 0, flip * cup.height_mm * camera.aim];
  const eye = add(target, [0, -Math.cos(elevation), flip * Math.sin(elevation)], distance);
  const forward = unit(add(target, eye, -1)), right = unit(cross(forward, [0, 0, flip])), up = cross(right, forward);
  return { eye, forward, right, up, tangent, aspect, turn: rad(view.turn_deg), zoom: view.zoom, centre: [flip * view.centre[0], view.centre[1]] };
}
function toCup({ turn }, v) {
  const c = Math.cos(turn), s = Math.sin(turn);
  return [c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]];
}
function clipFromCup(camera, shift, size) {           // column by column, as OpenGL takes it
  const [right, up, forward, eye] = [camera.right, camera.up, camera.forward, camera.eye].map((v) => toCup(camera, v));
  const distance = Math.hypot(...eye), near = Math.max(distance - 500, distance * 0.02), far = distance + 600;
  const row = (axis, k) => [...axis.map((a) => a * k), -dot(axis, eye) * k];
  const w = row(forward, 1), { zoom, centre, aspect, tangent } = camera;
  const lens = (axis, k, off) => row(axis, k).map((a, i) => zoom * a - off * w[i]);
  const x = lens(right, 1 / (tangent * aspect), (zoom * centre[0]) / aspect + (2 * shift[0] - 1) / size[0]);
  const y = lens(up, 1 / tangent, zoom * centre[1] + (2 * shift[1] - 1) / size[1]);
  const z = w.map((a, i) => ((far + near) / (far - near)) * a - (i === 3 ? (2 * far * near) / (far - near) : 0));
  return new Float32Array([0, 1, 2, 3].flatMap((i) => [x[i], y[i], z[i], w[i]]));
}

function waysFrom(camera, shift, size) {              // the eye's ray at pixel 0, 0 and its step a pixel
  const step = (2 * camera.tangent) / (size[1] * camera.zoom);
  const [right, up, forward] = [camera.right, camera.up, camera.forward].map((v) => toCup(camera, v));
  const [x, y] = [0, 1].map((i) => camera.centre[i] * camera.tangent + step * (shift[i] - 0.5 - size[i] / 2));
  return [...add(add(forward, right, x), up, y), ...right.map((a) => a * step), ...up.map((a) => a * step)];
}

// ---- graphics ----------------------------------------------------------------------------------
const VERTEX = `#version 300 es
in vec3 cupPosition, cupNormal; in vec2 cupWall;
out vec3 spotPosition, spotNormal; out vec2 spotWall;
uniform mat4 clip;
void main() { spotPosition = cupPosition; spotNormal = cupNormal; spotWall = cupWall; gl_Position = clip * vec4(cupPosition, 1.0); }`;
const SCREEN = `#version 300 es
void main() { gl_Position = vec4(vec2(gl_VertexID & 1, gl_VertexID >> 1) * 4.0 - 1.0, 0.0, 1.0); }`;
// `stage` turns the cup's frame into the stage's: cosine, sine; then pixel angle, sub-sample offset.
// Rasterisers keep corners to 1/16 of a pixel only, which moves flakes' edges; so the place is moved
// along the face to where the eye's ray, `way` and its steps a pixel, truly meets it.
// Where `sampling.z` is 1 a pixel has this sub-sample alone, which then stands for all of it at the cup's
// upright edges: no more grazing than the pixel is on the mean, 2/3 √(2 footprint / radius), for the very
// edge mirrors the dark behind; and faded by its distance from the edge, radius · cosine² / 2.
const FRAGMENT = `
in vec3 spotPosition, spotNormal; in vec2 spotWall;
uniform vec3 way[3];
out vec4 drawn;
void main() {
  vec3 n_ = normalize(spotNormal), r_ = vec3(cos(spotWall.x), sin(spotWall.x), 0.0);
  vec3 ray_ = way[0] + gl_FragCoord.x * way[1] + gl_FragCoord.y * way[2];
  float facing_ = dot(n_, ray_);
  vec3 place_ = facing_ < -0.05 * length(ray_) ? eye.xyz + ray_ * (dot(n_, spotPosition - eye.xyz) / facing_) : spotPosition;
  vec3 moved_ = place_ - spotPosition, d_ = eye.xyz - place_;
  mat3 stage_ = mat3(stage.x, stage.y, 0.0, -stage.y, stage.x, 0.0, 0.0, 0.0, 1.0);
  Spot p_;
  p_.radius = length(place_.xy);
  p_.wall = spotWall + vec2(dot(moved_, r_) / p_.radius, dot(moved_, cross(n_, r_)));
  p_.normal = stage_ * n_; p_.right = stage_ * r_; p_.view = stage_ * normalize(d_);
  p_.up = cross(p_.normal, p_.right);
  p_.footprint = length(d_) * stage.z; p_.offset = stage.w;
  float cover_ = 1.0;
  if (sampling.z > 0.5) {
    float least_ = sqrt(p_.footprint / p_.radius), mu_ = dot(p_.normal, p_.view);
    if (mu_ < least_) p_.view = normalize(p_.view + (least_ - mu_) * p_.normal);
    cover_ = min(0.5 + 0.5 * mu_ * mu_ / (least_ * least_) + 9.0 * n_.z * n_.z, 1.0);
  }
  drawn = vec4(min(SHADE(p_), 6e4), cover_);
}`;
const PASSES = ["AROUND", "GROUND", "GATHER", "GLARE", "BLUR", "FINISH", "ARTWORK"];
const told = (defines) => Object.entries(defines).map(([name, value]) => `#define ${name} ${value}\n`).join("");

class Host {                 // one WebGL context and what is in it
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false });
    if (!gl) throw new Error("there is no WebGL 2");
    const full = gl.getExtension("EXT_color_buffer_float");
    if (!full && !gl.getExtension("EXT_color_buffer_half_float")) throw new Error("no half floats can be drawn to");
    this.gl = gl;
    this.loser = gl.getExtension("WEBGL_lose_context");
    this.parallel = gl.getExtension("KHR_parallel_shader_compile");
    this.sumKind = full ? "full" : "half";
    this.textures = {}; this.made = {}; this.programs = {}; this.targets = {}; this.buffers = {};
    this.ready = false;
  }

  // -- what is drawn
  async load(shelf, header) {                         // uploads whatever differs from what is there
    const { gl } = this, { sections } = header, opened = {};
    const open = (name) => (opened[name] ??= shelf.open(sections[name]));
    const built = this.compile(header, await open("shade"), await open("passes"));
    const wanted = Object.entries(header.textures).map(([name, facts]) => [name, facts, JSON.stringify([facts, facts.from.map((part) => sections[part].key)])])
      .filter(([name, , key]) => this.made[name] !== key);
    if (wanted.some(([, { size }]) => Math.max(...size) > gl.getParameter(gl.MAX_TEXTURE_SIZE))) throw new Error("the cup's maps are too large for this graphics card");
    const solid = ["positions", "normals", "turn_height", "triangles", "flat"].filter((name) => this.made[name] !== sections[name].key);
    const values = Object.fromEntries(await Promise.all([...solid, ...wanted.flatMap(([, { from }]) => from)].map(async (name) => [name, await open(name)])));
    if (gl.isContextLost()) return;
    for (const [name, facts, key] of wanted) {
      gl.deleteTexture(this.textures[name]);
      if (name === "artTex") this.photograph = null;
      this.textures[name] = this.texture(facts, facts.from.map((part) => ({ facts: sections[part], values: values[part] })));
      this.made[name] = key;
      if (name === "aroundTex") delete this.made.mirrorTex;
    }
    this.mesh(Object.fromEntries(solid.map((name) => [name, values[name]])));
    for (const name of solid) this.made[name] = sections[name].key;
    Object.assign(this, built, { header, ready: false });
  }

  texture({ format, size, smooth, clamp: held }, parts) {
    const { gl } = this, [columns, rows] = size, texels = columns * rows;
    const [inner, outer, type, count, Kind, one] = {
      r8: [gl.R8, gl.RED, gl.UNSIGNED_BYTE, 1, Uint8Array, 255],
      rg8: [gl.RG8, gl.RG, gl.UNSIGNED_BYTE, 2, Uint8Array, 255],
      rgba8: [gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, 4, Uint8Array, 0],
      srgb8: [gl.SRGB8_ALPHA8, gl.RGBA, gl.UNSIGNED_BYTE, 4, Uint8Array, 255],
      rgba16f: [gl.RGBA16F, gl.RGBA, gl.HALF_FLOAT, 4, Uint16Array, 0x3c00],
      rgba32f: [gl.RGBA32F, gl.RGBA, gl.FLOAT, 4, Float32Array, 1],
    }[format];
    let data = parts[0].values;
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    if (parts[0].facts.coding === "jpeg") { this.photograph = { picture: data, opacity: parts[1].values }; data = null; }
    else if (parts[0].facts.coding === "left") {
      const planes = parts.flatMap(({ facts, values }) =>
        Array.from({ length: facts.shape[2] }, (_, c) => values.subarray(c * texels, (c + 1) * texels)));
      data = new Kind(texels * count);
      if (planes.length < count) data.fill(one);
      planes.forEach((plane, c) => { for (let i = 0, j = c; i < texels; i++, j += count) data[j] = plane[i]; });
    }
    const texture = this.empty(smooth ? gl.LINEAR : gl.NEAREST, held ? gl.CLAMP_TO_EDGE : gl.REPEAT);
    gl.texImage2D(gl.TEXTURE_2D, 0, inner, columns, rows, 0, outer, type, data);
    return texture;
  }

  empty(filter, wrap = this.gl.CLAMP_TO_EDGE) {
    const { gl } = this, texture = gl.createTexture();
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    for (const name of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, name, filter);
    for (const name of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, name, wrap);
    return texture;
  }

  mesh(arrays) {
    const { gl, buffers } = this;
    if (!this.corners) this.corners = gl.createVertexArray();
    gl.bindVertexArray(this.corners);
    Object.assign(this.solid ??= {}, arrays);         // kept for picking too
    for (const [name, values] of Object.entries(arrays)) {
      if (name === "flat") continue;
      const at = ["positions", "normals", "turn_height"].indexOf(name), kind = at < 0 ? gl.ELEMENT_ARRAY_BUFFER : gl.ARRAY_BUFFER;
      gl.bindBuffer(kind, (buffers[name] ??= gl.createBuffer()));
      gl.bufferData(kind, values, gl.STATIC_DRAW);
      if (at < 0) continue;
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, at === 2 ? 2 : 3, gl.FLOAT, false, 0, 0);
    }
    gl.bindVertexArray(null);
  }

  compile(header, shade, passes) {                    // programs of all draws and passes; the driver works meanwhile
    const samplers = [...Object.keys(header.textures), "mirrorTex"], old = { ...this.programs };
    const front = `#version 300 es\nprecision highp float;\nprecision highp int;\nprecision highp sampler2D;\nuniform sampler2D ${samplers.join(", ")};
uniform vec4 stage, eye, sampling;\nuniform int foil_samples;\n`;
    const draws = header.draws.map((draw) => ({ ...draw, program: this.program(VERTEX, front + told(draw.defines) + shade + FRAGMENT, ["cupPosition", "cupNormal", "cupWall"]) }));
    const finish = Object.fromEntries(PASSES.map((pass, i) => [pass, this.program(SCREEN, `#version 300 es\n${told({ PASS: i, ...header.passes })}${passes}`, [])]));
    const used = new Set([...draws.map((draw) => draw.program), ...Object.values(finish)]);
    return { draws, passes: finish, idle: Object.entries(old).filter(([, program]) => !used.has(program)) };
  }

  program(vertex, fragment, attributes) {
    if (this.programs[fragment]) return this.programs[fragment];
    const { gl } = this, link = gl.createProgram(), shaders = [];
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(link, shader);
      shaders.push(shader);
    }
    attributes.forEach((name, at) => gl.bindAttribLocation(link, at, name));
    gl.linkProgram(link);
    return (this.programs[fragment] = { link, shaders, at: null });
  }

  compiled() {               // false while the driver still works on it; throws where it refuses
    const { gl } = this, all = Object.values(this.programs).filter((program) => !program.at);
    if (this.parallel && all.some(({ link }) => !gl.getProgramParameter(link, this.parallel.COMPLETION_STATUS_KHR))) return false;
    for (const program of all) {
      if (!gl.getProgramParameter(program.link, gl.LINK_STATUS) && !gl.isContextLost()) {
        throw new Error(`the graphics driver refused the shading program: ${program.shaders.map((s) => gl.getShaderInfoLog(s)).join(" ")}`);
      }
      program.shaders.forEach((shader) => gl.deleteShader(shader));
      program.at = {};
      const count = gl.getProgramParameter(program.link, gl.ACTIVE_UNIFORMS);
      for (let i = 0; i < count; i++) {
        const { name, type } = gl.getActiveUniform(program.link, i);
        program.at[name.replace("[0]", "")] = { where: gl.getUniformLocation(program.link, name), type };
      }
    }
    for (const [text, { link }] of this.idle.splice(0)) { gl.deleteProgram(link); delete this.programs[text]; }
    return (this.ready = true);
  }

  // -- drawing
  target(name, size, kind, depth = false) {           // made anew when its size changes
    const { gl } = this, old = this.targets[name];
    if (old && old.size[0] === size[0] && old.size[1] === size[1]) return old;
    if (old) this.free(old);
    const half = kind === "half", texture = this.empty(half ? gl.LINEAR : gl.NEAREST), frame = gl.createFramebuffer();
    gl.texImage2D(gl.TEXTURE_2D, 0, half ? gl.RGBA16F : kind === "full" ? gl.RGBA32F : gl.RGBA8, ...size, 0, gl.RGBA,
      half ? gl.HALF_FLOAT : kind === "full" ? gl.FLOAT : gl.UNSIGNED_BYTE, null);
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, texture, 0);
    let buffer = null;
    if (depth) {
      gl.bindRenderbuffer(gl.RENDERBUFFER, (buffer = gl.createRenderbuffer()));
      gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT24, ...size);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, buffer);
    }
    return (this.targets[name] = { texture, frame, buffer, size });
  }

  free({ texture, frame, buffer }) {
    this.gl.deleteTexture(texture); this.gl.deleteFramebuffer(frame); this.gl.deleteRenderbuffer(buffer);
  }

  clear(set) {
    for (const name of Object.keys(this.targets).filter((name) => name.startsWith(set))) { this.free(this.targets[name]); delete this.targets[name]; }
  }

  use(program, uniforms, textures) {
    const { gl } = this;
    gl.useProgram(program.link);
    let slot = 0;
    for (const [name, texture] of Object.entries(textures)) {
      if (!program.at[name]) continue;
      gl.activeTexture(gl.TEXTURE0 + slot);
      gl.bindTexture(gl.TEXTURE_2D, texture);
      gl.uniform1i(program.at[name].where, slot++);
    }
    for (const [name, value] of Object.entries(uniforms)) {
      const { where, type } = program.at[name] ?? {};
      if (where === undefined) continue;
      if (type === gl.FLOAT) gl.uniform1f(where, value);
      else if (type === gl.INT || type === gl.BOOL) gl.uniform1i(where, value);
      else if (type === gl.FLOAT_VEC2) gl.uniform2fv(where, value);
      else if (type === gl.FLOAT_VEC3) gl.uniform3fv(where, value);
      else if (type === gl.FLOAT_VEC4) gl.uniform4fv(where, value);
      else gl.uniformMatrix4fv(where, false, value);
    }
  }

  pass(name, target, uniforms, textures) {            // target null: a canvas of `size`
    const { gl } = this;
    gl.bindFramebuffer(gl.FRAMEBUFFER, target.frame);
    gl.viewport(0, 0, ...target.size);
    gl.disable(gl.DEPTH_TEST); gl.disable(gl.CULL_FACE); gl.disable(gl.SCISSOR_TEST);
    this.use(this.passes[name], uniforms, textures);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  cup(target, camera, shift, samples, most, band = null, alone = 0) {   // radiance and cover of one sub-sample
    const { gl } = this, { size } = target, c = Math.cos(camera.turn), s = Math.sin(camera.turn);
    gl.bindFramebuffer(gl.FRAMEBUFFER, target.frame);
    gl.viewport(0, 0, ...size);
    gl.enable(gl.DEPTH_TEST); gl.enable(gl.CULL_FACE); gl.disable(gl.BLEND);
    if (band) { gl.enable(gl.SCISSOR_TEST); gl.scissor(0, band[0], size[0], band[1] - band[0]); } else gl.disable(gl.SCISSOR_TEST);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.bindVertexArray(this.corners);
    const uniforms = {
      clip: clipFromCup(camera, shift, size), eye: [...toCup(camera, camera.eye), 1],
      stage: [c, -s, (2 * camera.tangent) / size[1] / camera.zoom, shift[2]], sampling: [samples, 1, alone, 0],
      way: waysFrom(camera, shift, size),
    };
    const short = this.header.sections.triangles.kind === "u16";
    for (const draw of this.draws) {
      this.use(draw.program, { ...uniforms, foil_samples: Math.min(draw.foil_samples, most) }, this.textures);
      gl.drawElements(gl.TRIANGLES, draw.count, short ? gl.UNSIGNED_SHORT : gl.UNSIGNED_INT, draw.first * (short ? 2 : 4));
    }
    gl.bindVertexArray(null);
  }

  artwork() {                // a photograph's colours and opacity, joined once programs are ready
    if (!this.photograph) return;
    const { gl } = this, { picture, opacity } = this.photograph, size = [picture.width, picture.height];
    const pictureTex = this.empty(gl.NEAREST), opacityTex = this.empty(gl.NEAREST), frame = gl.createFramebuffer();
    gl.bindTexture(gl.TEXTURE_2D, opacityTex);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8, ...size, 0, gl.RED, gl.UNSIGNED_BYTE, opacity);
    gl.bindTexture(gl.TEXTURE_2D, pictureTex);
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.SRGB8_ALPHA8, gl.RGBA, gl.UNSIGNED_BYTE, picture);
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, this.textures.artTex, 0);
    this.pass("ARTWORK", { frame, size }, {}, { pictureTex, opacityTex });
    this.free({ texture: pictureTex, frame, buffer: null }); gl.deleteTexture(opacityTex);
    picture.close();
    this.photograph = null;
  }

  mirror() {                 // the surroundings as the shader reads them, once a light
    if (this.made.mirrorTex) return;
    const side = this.header.mirror_side, target = this.target("mirror", [side + 2, side + 2], "half");
    this.pass("AROUND", target, { side }, { aroundTex: this.textures.aroundTex });
    this.textures.mirrorTex = target.texture;
    this.made.mirrorTex = "drawn";
  }

  // What stands behind the cup, at half size; `most` as in `cup`.
  ground(set, size, view, most) {
    const { header } = this, half = size.map((n) => Math.max(n >> 1, 1)), { light, cup } = header;
    const camera = cameraFor(header, size[0] / size[1], view);
    const below = this.target(`${set} below`, half, "half", true), soft = this.target(`${set} soft`, half, "half");
    this.mirror(); this.artwork();
    this.cup(below, cameraFor(header, size[0] / size[1], view, true), [0.5, 0.5, 0.5], 1, most);
    const sigma = half[1] / 500;
    this.pass("BLUR", soft, { along: [0, 1], sigma }, { sourceTex: below.texture });
    this.pass("BLUR", below, { along: [1, 0], sigma: 0.7 * sigma }, { sourceTex: soft.texture });
    this.pass("GROUND", this.target(`${set} ground`, half, "half"), {
      ...camera, lens: [...view.centre, 1 / view.zoom], size: half, table: light.table, backdrop: light.backdrop.flat(),
      exposure: light.exposure, foot: cup.foot_mm, reach: cup.reach_mm,
    }, { skyTex: this.textures.skyTex, belowTex: below.texture });
  }

  gather(set, size, nth, kind) {
    const { exposure } = this.header.light, names = [`${set} sum ${nth & 1}`, `${set} sum ${(nth & 1) ^ 1}`];
    const sample = this.targets[`${set} sample`], [to, from] = names.map((name) => this.target(name, size, kind));
    this.pass("GATHER", to, { exposure, first: nth === 0 }, { sampleTex: sample.texture, sumTex: from.texture });
    if (nth) return;
    const side = Math.max(1, Math.round(size[1] / 400)), small = size.map((n) => Math.ceil(n / side)), sigma = size[1] / side / 400;
    const [glare, along, narrow, wide] = ["glare", "along", "narrow", "wide"].map((name) => this.target(`${set} ${name}`, small, "half"));
    this.pass("GLARE", glare, { exposure, side }, { sampleTex: sample.texture });
    for (const [blurred, spread] of [[narrow, 1.5], [wide, 8]]) {
      this.pass("BLUR", along, { along: [1, 0], sigma: spread * sigma }, { sourceTex: glare.texture });
      this.pass("BLUR", blurred, { along: [0, 1], sigma: spread * sigma }, { sourceTex: along.texture });
    }
  }

  finish(set, size, count, target) {                  // size: of the samples; target: where it is shown
    const side = Math.max(1, Math.round(size[1] / 400)), of = (name) => this.targets[`${set} ${name}`].texture;
    const grow = target.size.map((n, i) => (Math.ceil(size[i] / side) * side * n) / size[i]);
    this.pass("FINISH", target, { size: target.size, bloom_size: grow, count }, {
      sumTex: of(`sum ${(count - 1) & 1}`), groundTex: of("ground"), narrowTex: of("narrow"), wideTex: of("wide"),
    });
  }

  // A picture in the still's quality, in parts; yields after each, how many samples a frame has when
  // one is finished. One sample alone is none: it has the cup's edge in steps.
  *still(set, size, view, samples, target, rows) {
    const camera = cameraFor(this.header, size[0] / size[1], view), places = this.header.subsamples[samples];
    this.ground(set, size, view, Infinity);
    yield 0;
    const sample = this.target(`${set} sample`, size, "half", true);
    for (const [nth, shift] of places.entries()) {
      for (let low = 0, high; low < size[1]; low = high) {
        high = Math.min(low + rows(), size[1]);
        this.cup(sample, camera, shift, samples, Infinity, [low, high]);
        if (high < size[1]) yield 0;
      }
      this.gather(set, size, nth, this.sumKind);
      const shown = nth > 0 || places.length === 1;
      if (shown) this.finish(set, size, nth + 1, target);
      yield shown ? nth + 1 : 0;
    }
  }

  quick(size, view, target) {                         // one sample, less foil
    this.ground("quick", size, view, MOVING_FOIL);
    const sample = this.target("quick sample", size, "half", true);
    this.cup(sample, cameraFor(this.header, size[0] / size[1], view), [0.5, 0.5, 0.5], 1, MOVING_FOIL, null, 1);
    this.gather("quick", size, 0, "half");
    this.finish("quick", size, 1, target);
  }
}

// ---- places on the cup -------------------------------------------------------------------------
function rayThrough(camera, across, up) {             // (across, up) in half heights of what is seen
  const x = camera.centre[0] + across / camera.zoom, y = camera.centre[1] + up / camera.zoom;
  const way = add(add(camera.forward, camera.right, camera.tangent * x), camera.up, camera.tangent * y);
  return { eye: toCup(camera, camera.eye), way: toCup(camera, unit(way)) };
}
// The nearest triangle that a ray meets from outside: Möller & Trumbore (1997).
function meet({ positions, triangles }, { eye, way }) {
  let nearest = Infinity, hit = null;
  const corner = (i) => [positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]];
  for (let i = 0; i < triangles.length; i += 3) {
    const a = corner(triangles[i]), ab = add(corner(triangles[i + 1]), a, -1), ac = add(corner(triangles[i + 2]), a, -1);
    const p = cross(way, ac), facing = dot(ab, p);
    if (facing < 1e-12) continue;
    const s = add(eye, a, -1), u = dot(s, p) / facing;
    if (u < 0 || u > 1) continue;
    const q = cross(s, ab), v = dot(way, q) / facing, t = dot(ac, q) / facing;
    if (v < 0 || u + v > 1 || t <= 0 || t >= nearest) continue;
    nearest = t;
    hit = { at: i, weights: [1 - u - v, u, v] };
  }
  return hit;
}

// ---- the viewer --------------------------------------------------------------------------------
export function showCup(element, parcel = null, options = {}) { return new Viewer(element, parcel, options).handle(); }

class Viewer {
  constructor(element, parcel, options) {
    this.options = { pixels: 2, asleep_s: 60, ...options };
    this.words = { ...WORDS, ...options.words };
    this.shelf = new Shelf();
    this.now = { ...VIEW, ...options.view };
    this.over = { rulers: options.rulers ?? null, seam: options.seam ?? [], marks: options.marks ?? [] };
    this.scale = 0.5; this.rows = 4096; this.slow = true;
    this.waiting = []; this.work = Promise.resolve(); this.restAt = 0; this.what = "waiting";
    this.header = this.host = this.rest = null;
    this.shown = true; this.seen = true;
    this.build(element);
    this.begin();
    if (parcel) this.update(parcel).catch((error) => this.giveUp(error));
  }

  handle() {
    const bound = (name) => this[name].bind(this);
    return {
      update: bound("update"), setView: bound("setView"), place: bound("place"), spot: bound("spot"), picture: bound("picture"),
      settled: bound("settled"), dispose: bound("dispose"), view: () => ({ ...this.now, centre: [...this.now.centre] }),
      held: () => [...this.shelf.kept.keys()], state: () => this.what,
      show: (over) => { Object.assign(this.over, over); this.overlay(); },
    };
  }

  // -- the page
  build(element) {
    const make = (tag, style, more = {}) => Object.assign(document.createElement(tag), more, { style });
    const fill = "position:absolute;inset:0;width:100%;height:100%;";
    this.root = make("div", "position:relative;width:100%;height:100%;overflow:hidden;");
    this.plain = make("img", `${fill}object-fit:contain;`, { alt: this.options.label ?? this.words.label, draggable: false });
    this.canvas = make("canvas", `${fill}display:block;visibility:hidden;touch-action:pan-y;cursor:grab;outline-offset:-3px;`, { tabIndex: 0 });
    this.svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    this.svg.setAttribute("style", `${fill}pointer-events:none;overflow:visible;`);
    this.svg.setAttribute("aria-hidden", "true");
    this.note = make("p", "position:absolute;left:0;right:0;top:40%;margin:0;padding:0 1em;text-align:center;font:1rem/1.5 system-ui,sans-serif;", { hidden: true });
    const facts = { role: "slider", "aria-label": this.options.label ?? this.words.label, "aria-description": this.words.keys,
      "aria-orientation": "horizontal", "aria-valuemin": -180, "aria-valuemax": 180 };
    for (const [name, value] of Object.entries(facts)) this.canvas.setAttribute(name, value);
    this.plain.hidden = !this.options.still;
    if (this.options.still) this.plain.src = this.options.still;
    this.root.append(this.plain, this.canvas, this.svg, this.note);
    element.append(this.root);
    this.tell();
  }

  begin() {
    const { canvas } = this, on = (target, names, act, how) => names.split(" ").forEach((name) => target.addEventListener(name, act, { signal: this.off.signal, ...how }));
    this.off = new AbortController();
    try {
      if (typeof DecompressionStream === "undefined") throw new Error("it cannot inflate");
      this.host = new Host(canvas);
    } catch (error) { this.giveUp(error); return; }
    on(canvas, "webglcontextlost", (event) => { event.preventDefault(); this.lost(); });
    on(canvas, "webglcontextrestored", () => this.restored());
    on(canvas, "pointerdown pointermove pointerup pointercancel", (event) => this.pointer(event));
    on(canvas, "wheel", (event) => this.wheel(event), { passive: false });
    on(canvas, "keydown", (event) => this.key(event));
    on(document, "visibilitychange", () => this.wake());
    this.sized = new ResizeObserver(() => this.schedule());
    this.sized.observe(this.root);
    this.watch = new IntersectionObserver((all) => { this.seen = all[all.length - 1].isIntersecting; this.wake(); });
    this.watch.observe(this.root);
  }

  giveUp(error) {            // the plain picture, for good
    this.host = null; this.broken = error;
    this.canvas.style.visibility = "hidden"; this.canvas.tabIndex = -1;
    this.plain.hidden = !this.options.still; this.svg.replaceChildren();
    this.note.hidden = !!this.options.still; this.note.textContent = this.words.none;
    this.state("picture");
    this.options.onTrouble?.(error);
    this.waiting.splice(0).forEach(({ done }) => done());
  }

  state(what) { if (what !== this.what) { this.what = what; this.options.onState?.(what); } }

  // -- what is shown
  update(parcel) {
    let header;
    try { header = this.shelf.take(parcel); } catch (error) { return Promise.reject(error); }
    this.header = header;
    return this.carry();
  }

  carry() {                  // uploads follow one another; the promise is kept once a frame shows it
    this.work = this.work.catch(() => {}).then(async () => {
      const { host } = this;
      if (!host) return;     // lost: carried again when the context is back
      await host.load(this.shelf, this.header);
      this.shelf.trim(this.header);
      this.touch(this.slow);
    });
    return this.work.then(() => this.wanted("frame"));
  }

  settled() { return this.what === "still" ? Promise.resolve() : this.wanted("still"); }

  wanted(until) {
    if (this.broken) return Promise.resolve();
    return new Promise((done) => { this.waiting.push({ done, until }); this.schedule(); });
  }

  setView(some, { glide = false } = {}) {
    const to = { ...this.now, ...some };
    if (!glide || matchMedia("(prefers-reduced-motion: reduce)").matches) { this.look(to); return; }
    const from = { ...this.now }, round = wrap180(to.turn_deg - from.turn_deg), start = performance.now();
    const step = (time) => {
      const t = clamp((time - start) / 450, 0, 1), k = t * t * (3 - 2 * t), mix = (a, b) => a + (b - a) * k;
      this.look({
        turn_deg: from.turn_deg + round * k, elevation_deg: mix(from.elevation_deg, to.elevation_deg), zoom: mix(from.zoom, to.zoom),
        centre: from.centre.map((a, i) => mix(a, to.centre[i])),
      });
      if (t < 1) this.gliding = requestAnimationFrame(step);
    };
    cancelAnimationFrame(this.gliding);
    this.gliding = requestAnimationFrame(step);
  }

  look(to) {                 // a hand or a key stops what glides
    cancelAnimationFrame(this.gliding);
    const zoom = clamp(to.zoom, 1, MOST_ZOOM), room = 1 - 1 / zoom, aspect = this.aspect();
    this.now = {                                      // what is seen lies within the still
      turn_deg: wrap180(to.turn_deg), elevation_deg: clamp(to.elevation_deg, ...TILT), zoom,
      centre: [clamp(to.centre[0], -room * aspect, room * aspect), clamp(to.centre[1], -room, room)],
    };
    this.canvas.style.touchAction = zoom > 1 ? "none" : "pan-y";
    this.touch(true);
    this.tell();
    this.options.onView?.({ ...this.now, centre: [...this.now.centre] });
  }

  tell() {
    const { turn_deg, elevation_deg, zoom } = this.now;
    this.canvas.setAttribute("aria-valuenow", Math.round(turn_deg));
    this.canvas.setAttribute("aria-valuetext", this.words.seen(Math.round(turn_deg), Math.round(elevation_deg), Number(zoom.toFixed(1))));
  }

  // -- frames
  touch(quick) {             // something changed: what is drawn is old
    this.restAt = quick ? performance.now() + REST_AFTER_MS : 0;
    this.quick ||= quick; this.rest = null; this.stale = true;
    if (this.what === "still") this.state("resting");
    this.schedule();
  }

  awake() { return this.seen && !document.hidden; }

  wake() {
    clearTimeout(this.asleep);
    if (this.awake()) {
      if (this.sleeping) { this.sleeping = false; this.loser.restoreContext(); }
      this.schedule();
    } else if (this.host?.loser && this.options.asleep_s < Infinity) {
      this.asleep = setTimeout(() => this.sleep(), 1000 * this.options.asleep_s);
    }
  }

  sleep() {                  // gives the graphics memory back; a picture stands in
    if (!this.host || this.sleeping || this.what === "waiting" || this.what === "lost") return;
    this.keepPicture();
    this.sleeping = true;
    this.loser = this.host.loser;                     // the same object restores
    this.loser.loseContext();
  }

  keepPicture() {
    if (!this.last) return;
    this.host.finish(...this.last, this.screen());
    this.plain.src = this.canvas.toDataURL("image/jpeg", 0.9);
    this.plain.hidden = false;
  }

  lost() {
    this.canvas.style.visibility = "hidden";
    this.plain.hidden = !this.plain.hasAttribute("src");
    cancelAnimationFrame(this.timer); this.timer = 0;
    this.rest = this.fence = this.last = null;
    this.host = null;
    this.state("lost");
  }

  restored() {
    try { this.host = new Host(this.canvas); } catch (error) { this.giveUp(error); return; }
    if (this.header) this.carry().catch((error) => this.giveUp(error));
  }

  size() {
    const k = Math.min(devicePixelRatio, this.options.pixels), { clientWidth, clientHeight } = this.root;
    return [Math.max(Math.round(clientWidth * k), 1), Math.max(Math.round(clientHeight * k), 1)];
  }

  aspect() { const [width, height] = this.size(); return width / height; }

  screen() { return { frame: null, size: [this.canvas.width, this.canvas.height] }; }

  schedule() { if (!this.timer && this.host && this.awake()) this.timer = requestAnimationFrame(() => { this.timer = 0; this.step(); }); }

  step() {                   // one part of a frame; the next when the card is done with it
    const { host } = this;
    if (!host?.header) return;
    try { if (!host.ready && !host.compiled()) { this.schedule(); return; } } catch (error) { this.giveUp(error); return; }
    if (this.fence) {
      const { gl } = host, state = gl.clientWaitSync(this.fence.sync, gl.SYNC_FLUSH_COMMANDS_BIT, 0);
      if (state === gl.TIMEOUT_EXPIRED) { this.schedule(); return; }
      gl.deleteSync(this.fence.sync);
      this.fence.then(performance.now() - this.fence.since);
      this.fence = null;
    }
    const size = this.size(), { canvas } = this;
    if (canvas.width !== size[0] || canvas.height !== size[1]) {
      [canvas.width, canvas.height] = size;
      this.touch(true);
    }
    if (this.quick) this.moving(size);
    else if (this.stale && performance.now() < this.restAt) this.schedule();
    else this.resting(size);
  }

  moving(size) {
    const eighths = Math.max(Math.round(8 * this.scale), 1), small = size.map((n) => Math.max(Math.round((n * eighths) / 8), 1));
    this.quick = false;
    this.host.quick(small, this.now, this.screen());
    this.last = ["quick", small, 1];
    this.overlay();
    this.wait((ms) => {
      this.scale = clamp(this.scale * clamp(Math.sqrt(FRAME_MS / ms), 0.7, 1.2), 0.25, 1);
      this.visible("moving");
    });
  }

  resting(size) {
    if (this.stale) {
      const count = this.options.samples ?? this.header.still.find(([least]) => size[1] >= least)[1];
      this.stale = false; this.count = count; this.began = performance.now();
      this.rest = this.host.still("rest", size, this.now, count, this.screen(), () => this.rows);
      this.overlay();
    }
    if (!this.rest) return;
    const { done, value: samples } = this.rest.next();
    if (done) { this.rest = null; return; }
    if (samples) this.last = ["rest", size, samples];
    const { rest } = this;
    this.wait((ms) => {
      this.rows = clamp(Math.round(this.rows * clamp(BAND_MS / ms, 0.5, 2)), 16, 4096);
      if (rest !== this.rest || !samples) return;
      if (samples <= 2) this.slow = performance.now() - this.began > 100 * samples;
      this.visible(samples === this.count ? "still" : "resting");
    });
  }

  wait(then) {
    const { gl } = this.host;
    this.fence = { sync: gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0), since: performance.now(), then };
    gl.flush();
    this.schedule();
  }

  visible(what) {
    this.canvas.style.visibility = "visible";
    this.plain.hidden = true; this.note.hidden = true;
    this.state(what);
    this.waiting = this.waiting.filter(({ done, until }) => { if (until === "frame" || what === "still") { done(); return false; } return true; });
  }

  async picture({ width, height, samples, view } = {}) {
    await this.work;
    const { host } = this, size = [width ?? this.canvas.width, height ?? this.canvas.height];
    if (!host?.header) throw new Error("The cup is not drawn yet.");
    while (!host.compiled()) await new Promise((done) => setTimeout(done, 20));
    const { gl } = host, target = host.target("apart", size, "byte"), bytes = new Uint8ClampedArray(4 * size[0] * size[1]);
    const count = samples ?? this.header.still.find(([least]) => size[1] >= least)[1];
    for (const _ of host.still("apart", size, { ...VIEW, ...this.now, ...view }, count, target, () => this.rows)) {
      const sync = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
      while (gl.clientWaitSync(sync, gl.SYNC_FLUSH_COMMANDS_BIT, 0) === gl.TIMEOUT_EXPIRED) await new Promise((done) => setTimeout(done, 4));
      gl.deleteSync(sync);
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, target.frame);
    gl.readPixels(0, 0, ...size, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
    host.clear("apart");
    return createImageBitmap(new ImageData(bytes, ...size), { imageOrientation: "flipY" });
  }

  // -- touch, mouse, keys
  pointer(event) {
    const { fingers = (this.fingers = new Map()) } = this, at = [event.offsetX, event.offsetY];
    if (event.type === "pointerdown") {
      this.canvas.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, at);
      this.went = fingers.size === 1 ? 0 : Infinity;
      cancelAnimationFrame(this.gliding);
      return;
    }
    const before = fingers.get(event.pointerId);
    if (!before) return;
    if (event.type !== "pointermove") {
      fingers.delete(event.pointerId);
      if (event.type === "pointerup" && this.went < 5 && event.button === 0) this.choose(...at);
      return;
    }
    const others = [...fingers].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
    const step = [at[0] - before[0], at[1] - before[1]];
    this.went += Math.hypot(...step);
    fingers.set(event.pointerId, at);
    if (others.length) this.pinch(before, at, others[0]);
    else if (this.went >= 5) this.drag(step, event.shiftKey || (event.buttons & 6) !== 0, event.pointerType);
  }

  drag([right, down], move, kind) {
    const { now } = this, height = this.root.clientHeight;
    if (move) { this.move(right, down); return; }
    const turn_deg = now.turn_deg - ((right / height) * 230) / now.zoom;
    const tilt = kind === "touch" && now.zoom === 1 ? 0 : ((down / height) * 100) / now.zoom;
    this.look({ ...now, turn_deg, elevation_deg: now.elevation_deg + tilt });
  }

  move(right, down) {
    const { now } = this, k = 2 / (this.root.clientHeight * now.zoom);
    this.look({ ...now, centre: [now.centre[0] - right * k, now.centre[1] + down * k] });
  }

  pinch(before, at, other) {
    const apart = (a) => Math.max(Math.hypot(a[0] - other[0], a[1] - other[1]), 10), step = [(at[0] - before[0]) / 2, (at[1] - before[1]) / 2];
    this.zoom(apart(at) / apart(before), (at[0] + other[0]) / 2, (at[1] + other[1]) / 2);
    if (this.now.zoom > 1) this.move(...step); else this.drag([0, step[1]], false, "two");
  }

  zoom(factor, x, y) {       // about a point of the element, which stays where it is
    const { now } = this, { clientWidth: width, clientHeight: height } = this.root, zoom = clamp(now.zoom * factor, 1, MOST_ZOOM);
    const from = [(2 * x - width) / height, 1 - (2 * y) / height], k = 1 / now.zoom - 1 / zoom;
    this.look({ ...now, zoom, centre: [now.centre[0] + from[0] * k, now.centre[1] + from[1] * k] });
  }

  wheel(event) {
    if (!event.ctrlKey && this.canvas.getRootNode().activeElement !== this.canvas) return;
    event.preventDefault();
    this.zoom(Math.exp((event.deltaMode ? -0.05 : -0.0015) * event.deltaY * (event.ctrlKey ? 4 : 1)), event.offsetX, event.offsetY);
  }

  key(event) {
    const { now } = this, step = event.shiftKey ? 1 : 6, { clientWidth: width, clientHeight: height } = this.root;
    const act = {
      ArrowLeft: () => this.look({ ...now, turn_deg: now.turn_deg - step }), ArrowRight: () => this.look({ ...now, turn_deg: now.turn_deg + step }),
      ArrowUp: () => this.look({ ...now, elevation_deg: now.elevation_deg + step }), ArrowDown: () => this.look({ ...now, elevation_deg: now.elevation_deg - step }),
      "+": () => this.zoom(1.25, width / 2, height / 2), "=": () => this.zoom(1.25, width / 2, height / 2), "-": () => this.zoom(0.8, width / 2, height / 2),
      Home: () => this.setView(VIEW, { glide: true }), End: () => this.setView({ ...VIEW, turn_deg: 180 }, { glide: true }),
      Enter: () => this.choose(width / 2, height / 2),
    }[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  }

  // -- places
  camera() { return cameraFor(this.header, this.aspect(), this.now); }

  choose(x, y) { const place = this.options.onPick && this.place(x, y); if (place) this.options.onPick(place); }

  place(x, y) {
    const { host } = this, { clientWidth: width, clientHeight: height } = this.root;
    if (!host?.header) return null;
    const { solid, header } = host, hit = meet(solid, rayThrough(this.camera(), (2 * x - width) / height, 1 - (2 * y) / height));
    const draw = hit && header.draws.find(({ first, count }) => hit.at >= first && hit.at < first + count);
    if (!draw || draw.part !== 0) return null;
    const mean = (values, c) => hit.weights.reduce((sum, w, k) => sum + w * values[2 * solid.triangles[hit.at + k] + c], 0);
    const height_mm = mean(solid.turn_height, 1);
    if (height_mm < 0 || height_mm > header.wall.length_mm) return null;
    return { turn_deg: (mean(solid.turn_height, 0) * 180) / Math.PI, height_mm, x_mm: mean(solid.flat, 0), y_mm: mean(solid.flat, 1) };
  }

  wall(turn_deg, height_mm) {                         // the place and the outward direction, cup frame
    const { meridian } = this.header.wall, turn = rad(turn_deg);
    const i = clamp(meridian.findIndex(([h]) => h >= height_mm), 1, meridian.length - 1) || meridian.length - 1;
    const [[h0, r0, z0], [h1, r1, z1]] = [meridian[i - 1], meridian[i]], t = (height_mm - h0) / (h1 - h0), r = r0 + (r1 - r0) * t;
    const out = [Math.sin(turn) * (z1 - z0), -Math.cos(turn) * (z1 - z0), r0 - r1];
    return { at: [Math.sin(turn) * r, -Math.cos(turn) * r, z0 + (z1 - z0) * t], out, radius: r };
  }

  spot(turn_deg, height_mm, camera = this.camera()) {
    const { at, out } = this.wall(turn_deg, height_mm), way = add(at, toCup(camera, camera.eye), -1);
    const [right, up, forward] = [camera.right, camera.up, camera.forward].map((axis) => dot(toCup(camera, axis), way));
    const { clientWidth: width, clientHeight: height } = this.root, k = 1 / (camera.tangent * forward);
    const x = (right * k - camera.centre[0]) * camera.zoom, y = (up * k - camera.centre[1]) * camera.zoom;
    return { x: (width + x * height) / 2, y: ((1 - y) * height) / 2, seen: dot(out, way) < 0 };
  }

  // -- rulers, seam, marks
  overlay() {
    const { rulers, seam, marks } = this.over;
    if (!this.host?.header) { this.svg.replaceChildren(); return; }
    const camera = this.camera(), length = this.header.wall.length_mm, parts = [], texts = [];    // texts lie over lines
    const line = (points, more = "") => {
      const d = points.map(([x, y], i) => `${i ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join("");
      parts.push(`<path d="${d}" fill="none" stroke="#fff" stroke-opacity=".75" stroke-width="3"/><path d="${d}" fill="none" stroke="#12202b" stroke-width="1.2" ${more}/>`);
    };
    const label = (x, y, text, anchor = "middle") => texts.push(`<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" text-anchor="${anchor}">${String(text).replace(/[&<]/g, (c) => `&#${c.charCodeAt(0)};`)}</text>`);
    const spot = (turn, height) => this.spot(turn, height, camera);
    for (const turn of seam) {
      const points = Array.from({ length: 25 }, (_, i) => spot(turn, (length * i) / 24)).filter(({ seen }) => seen).map(({ x, y }) => [x, y]);
      if (points.length < 2) continue;
      line(points, 'stroke-dasharray="6 4"');
      label(points[points.length - 1][0], points[points.length - 1][1] - 6, this.words.seam);
    }
    if (rulers) this.rulers(rulers, camera, length, spot, line, label);
    for (const { turn_deg, height_mm, label: text } of marks) {
      const { x, y, seen } = spot(turn_deg, height_mm);
      if (!seen) continue;
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) line([[x + 4 * dx, y + 4 * dy], [x + 12 * dx, y + 12 * dy]]);
      if (text) label(x + 15, y + 4, text, "start");
    }
    this.svg.innerHTML = `<g font-family="system-ui,sans-serif" font-size="12" fill="#12202b" stroke="none" style="paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-opacity:.85;font-variant-numeric:tabular-nums">${parts.join("")}${texts.join("")}</g>`;
  }

  rulers(measure, camera, length, spot, line, label) {
    const { clientWidth: width, clientHeight: height } = this.root, { turn_deg: turn } = this.now;
    const mm = measure === "in" ? 25.4 : 1, steps = measure === "in" ? [0.125, 0.25, 0.5, 1, 2, 4] : [1, 2, 5, 10, 20, 50, 100];
    const [low, high] = [spot(turn, length / 2 - 5), spot(turn, length / 2 + 5)], px = (Math.hypot(high.x - low.x, high.y - low.y) / 10) * mm;
    const fine = steps.find((step) => step * px >= 5) ?? steps[steps.length - 1], coarse = steps.find((step) => step * px >= 36 && Number.isInteger(step / fine)) ?? fine;
    const isLong = (value) => Math.abs(value / coarse - Math.round(value / coarse)) < 1e-6;
    const spelled = (value) => String(Math.round(value * 1000) / 1000).replace("-", "−");
    // up the wall: along its left edge, or along the left of what is seen of it
    const { radius } = this.wall(0, length / 2), edge = turn - (Math.acos(clamp(radius / Math.hypot(...camera.eye), 0, 1)) * 180) / Math.PI;
    const away = spot(edge, length / 2).x - 8, inside = away < 44 && this.place(44, height / 2);
    const upright = (h) => { const { x, y } = spot(inside ? inside.turn_deg : edge, h); return [inside ? 44 : x - 8, y]; };
    line(Array.from({ length: 25 }, (_, i) => upright((length * i) / 24)));
    for (let i = 0; i * fine * mm <= length + 1e-6; i++) {
      const [x, y] = upright(i * fine * mm), long = isLong(i * fine);
      line([[x, y], [x - (long ? 9 : 5), y]]);
      if (long) label(x - 12, y + 4, spelled(i * fine), "end");
    }
    const [x, y] = upright(length);
    label(x, Math.max(y - 10, 14), measure);
    // round the wall, from the front: at its foot, or at the lowest height seen
    const base = spot(turn, 0).y > height - 28 ? this.place(width / 2, height - 30)?.height_mm ?? 0 : 0, around = this.wall(0, base).radius;
    const round = (s) => { const place = spot((s / around) * (180 / Math.PI), base); return { ...place, y: place.y + (base ? 0 : 6) }; };
    const half = Math.PI * around, arc = Array.from({ length: 181 }, (_, i) => round(((turn - 90 + i) / 180) * half)).filter(({ seen }) => seen);
    if (arc.length > 1) line(arc.map((place) => [place.x, place.y]));
    const [left, right] = [arc[0]?.x ?? 0, arc[arc.length - 1]?.x ?? 0], ticks = [];
    for (let i = Math.ceil(-half / (fine * mm)); i * fine * mm < half; i++) { const place = round(i * fine * mm); if (place.seen) ticks.push({ ...place, value: i * fine }); }
    let last = -Infinity;
    for (const tick of ticks.sort((a, b) => a.x - b.x)) {
      const long = isLong(tick.value);
      line([[tick.x, tick.y], [tick.x, tick.y + (long ? 9 : 5)]]);
      const clear = tick.x - last >= 28 && tick.x > (inside ? 60 : 0) && Math.min(tick.x - left, right - tick.x) > 0.06 * (right - left);
      if (long && clear) { label(tick.x, tick.y + 20, spelled(tick.value)); last = tick.x; }
    }
  }

  dispose() {
    this.off.abort(); this.sized?.disconnect(); this.watch?.disconnect();
    clearTimeout(this.asleep); cancelAnimationFrame(this.timer); cancelAnimationFrame(this.gliding);
    const { host } = this;
    this.host = null;
    host?.loser?.loseContext();
    this.root.remove();
    this.waiting.splice(0).forEach(({ done }) => done());
  }
}
