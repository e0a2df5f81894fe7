// From drawn sub-samples to the picture, as mockup/render/stage.py and develop.py do it.
// One pass a program: PASS is one of those below. The host puts
// `#version 300 es` and the #defines in front. Rows go up, as OpenGL has them.
precision highp float;
precision highp int;
precision highp sampler2D;
#define AROUND 0
#define GROUND 1
#define GATHER 2
#define GLARE 3
#define BLUR 4
#define FINISH 5
#define ARTWORK 6
out vec4 outcome;
const float PI = 3.14159265358979;

float luminous(float value) {                         // tone: identity, then a shoulder up to 1
  float room = 1.0 - KNEE;
  return min(value, KNEE) + room * (1.0 - exp(-max(value - KNEE, 0.0) / room));
}
vec3 toned(vec3 value) { return vec3(luminous(value.r), luminous(value.g), luminous(value.b)); }

#if PASS == AROUND
// Latitude-longitude map to the octahedral one with a border texel that the shader reads.
uniform sampler2D aroundTex;
uniform float side;
void main() {
  vec2 a = (gl_FragCoord.xy - 1.0) / side * 2.0 - 1.0;
  if (abs(a.x) > 1.0) a = vec2(sign(a.x) * 2.0 - a.x, -a.y);
  if (abs(a.y) > 1.0) a = vec2(-a.x, sign(a.y) * 2.0 - a.y);
  float z = 1.0 - abs(a.x) - abs(a.y);
  vec2 s = vec2(a.x >= 0.0 ? 1.0 : -1.0, a.y >= 0.0 ? 1.0 : -1.0);
  vec3 d = normalize(vec3(z < 0.0 ? (1.0 - abs(a.yx)) * s : a, z));
  vec2 uv = vec2(atan(d.x, -d.y) / (2.0 * PI) + 0.5, acos(clamp(d.z, -1.0, 1.0)) / PI);
  vec2 rows = vec2(textureSize(aroundTex, 0));
  uv.y = clamp(uv.y, 0.5 / rows.y, 1.0 - 0.5 / rows.y);
  outcome = vec4(textureLod(aroundTex, uv, 0.0).rgb, 1.0);
}
#endif

#if PASS == GROUND
// Table and backdrop behind the cup, its shadow and its image in the table; toned. `lens` is what
// part of the picture is seen: middle (across, up) in half heights of the whole, and 1 / zoom.
uniform sampler2D skyTex, belowTex;
uniform vec3 eye, right, up, forward, lens, table, backdrop[2];
uniform vec2 size;
uniform float tangent, exposure, foot, reach;
float fresnel_dielectric(float mu, float ior) {
  float inside = sqrt(1.0 - (1.0 - mu * mu) / (ior * ior));
  float s = (mu - ior * inside) / (mu + ior * inside), p = (ior * mu - inside) / (ior * mu + inside);
  return 0.5 * (s * s + p * p);
}
vec3 open_sky(vec2 at) {
  vec2 cells = vec2(textureSize(skyTex, 0));
  float ring = clamp(log(max(length(at) / foot, 0.5)) / log(reach / foot), 0.0, 1.0) * (cells.y - 1.0);
  float spoke = (atan(at.x, -at.y) / (2.0 * PI) + 0.5) * (cells.x - 1.0);
  return textureLod(skyTex, (vec2(spoke, ring) + 0.5) / cells, 0.0).rgb;
}
void main() {
  vec2 in_picture = lens.xy + lens.z * (gl_FragCoord.xy / size * 2.0 - 1.0) * vec2(size.x / size.y, 1.0);
  vec3 ray = normalize(forward + tangent * (in_picture.x * right + in_picture.y * up));
  bool falls = ray.z < -1e-3;
  vec2 at = eye.xy + (falls ? -eye.z / ray.z : 0.0) * ray.xy;
  float back = falls ? clamp((at.y - 60.0) / 900.0, 0.0, 1.0) : 1.0;
  back *= back * (3.0 - 2.0 * back);
  vec3 wall = mix(backdrop[0], backdrop[1], clamp(0.5 + 0.5 * in_picture.y, 0.0, 1.0));
  vec3 lit = mix(table, wall, back) * (falls ? open_sky(at) : vec3(1.0));
  float away = clamp(length(in_picture - vec2(0.0, 0.1)) / 1.5, 0.0, 1.0);
  vec3 empty = lit * (1.0 - 0.30 * away * away);
  float near = exp(-max(length(at) - foot, 0.0) / (2.2 * foot));
  float sheen = falls ? TABLE_SHEEN * fresnel_dielectric(max(-ray.z, 0.02), TABLE_IOR) * near : 0.0;
  vec4 below = texelFetch(belowTex, ivec2(size.x - gl_FragCoord.x, gl_FragCoord.y), 0);
  vec3 seen = max(empty + sheen * (min(below.rgb, 4.0) - below.a * empty), 0.0);
  outcome = vec4(toned(seen * exposure), 1.0);
}
#endif

#if PASS == GATHER
// Adds one sub-sample, toned, to those before it.
uniform sampler2D sampleTex, sumTex;
uniform float exposure;
uniform bool first;
void main() {
  ivec2 at = ivec2(gl_FragCoord.xy);
  vec4 one = texelFetch(sampleTex, at, 0);
  outcome = vec4(toned(one.rgb * exposure) * one.a, one.a);
  if (!first) outcome += texelFetch(sumTex, at, 0);
}
#endif

#if PASS == GLARE
// Light above white in the first sub-sample, averaged over squares of `side`.
uniform sampler2D sampleTex;
uniform float exposure;
uniform int side;
void main() {
  ivec2 corner = ivec2(gl_FragCoord.xy) * side, most = textureSize(sampleTex, 0);
  vec3 sum = vec3(0.0);
  for (int j = 0; j < side; j++) for (int i = 0; i < side; i++) {
    ivec2 at = corner + ivec2(i, j);
    if (at.x < most.x && at.y < most.y) sum += clamp(texelFetch(sampleTex, at, 0).rgb * exposure - 1.0, 0.0, 6.0);
  }
  outcome = vec4(sum / float(side * side), 1.0);
}
#endif

#if PASS == BLUR
// One direction of a Gaussian, cut off at four sigma.
uniform sampler2D sourceTex;
uniform vec2 along;
uniform float sigma;
void main() {
  ivec2 at = ivec2(gl_FragCoord.xy), step_ = ivec2(along), most = textureSize(sourceTex, 0) - 1;
  int reach = int(4.0 * sigma + 0.5);
  vec4 sum = texelFetch(sourceTex, at, 0);
  float weight = 1.0;
  for (int i = 1; i <= reach; i++) {
    float w = exp(-0.5 * float(i * i) / (sigma * sigma));
    sum += w * (texelFetch(sourceTex, min(at + i * step_, most), 0) + texelFetch(sourceTex, max(at - i * step_, ivec2(0)), 0));
    weight += 2.0 * w;
  }
  outcome = sum / weight;
}
#endif

#if PASS == FINISH
// Mean of the sub-samples over the ground, bloom, sRGB codes (IEC 61966-2-1).
uniform sampler2D sumTex, groundTex, narrowTex, wideTex;
uniform vec2 size, bloom_size;                        // of the picture; texels of glare times their side
uniform float count;
void main() {
  vec2 uv = gl_FragCoord.xy / size;
  vec4 sum = textureLod(sumTex, uv, 0.0) / count;
  vec3 lit = sum.rgb + (1.0 - sum.a) * textureLod(groundTex, uv, 0.0).rgb;
  vec2 at = gl_FragCoord.xy / bloom_size;
  vec3 spread = 0.6 * textureLod(narrowTex, at, 0.0).rgb + 0.4 * textureLod(wideTex, at, 0.0).rgb;
  lit = clamp(lit + BLOOM * spread * (1.0 - lit), 0.0, 1.0);
  outcome = vec4(mix(1.055 * pow(lit, vec3(1.0 / 2.4)) - 0.055, lit * 12.92, lessThanEqual(lit, vec3(0.0031308))), 1.0);
}
#endif

#if PASS == ARTWORK
// A photograph and its opacity in one texture; the frame encodes sRGB again.
uniform sampler2D pictureTex, opacityTex;
void main() {
  ivec2 at = ivec2(gl_FragCoord.xy);
  outcome = vec4(texelFetch(pictureTex, at, 0).rgb, texelFetch(opacityTex, at, 0).r);
}
#endif
