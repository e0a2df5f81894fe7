// The shading model of a decorated cup. One source for every host (GLSL 1.50 and GLSL ES 3.00):
// no version line, no in/out, no sampler or precision declarations; the host declares them.
//
// Samplers   mirrorTex   surroundings, sharp, octahedral
//            glossTex    the same blurred by sigma = 0.5 deg * 2^(level-1), and T-weighted irradiance
//            artTex      sheet artwork over the base coat, linear rgb by the sampler, opacity
//            reliefTex   slope of a woven sheet
//            edgeTex0/1  signed distance to the edges of cut shapes, four sheets a texture
//            fieldTex0/1 share of the wall hidden by flakes, four populations a texture
//            tableTex    rows of parameters (see material/channels.py and shading/table.py)
// Constants  SHEETS FLAKES       how many of each exist
//            WITH_SHEETS WITH_FLAKES   0 in draws that none of them touches
//            GRATED_SHEETS GRATED_FLAKES CLEAR_SHEETS CLEAR_FLAKES   1 where any of them has a
//                        grating, or is a clear film
//            FOIL_SAMPLES BOUNCE_SAMPLES  quality of rough metal
//            SAMPLES MEAN_TILTS  sub-samples of a pixel; strata of a mean over tilts
//            PART        0 wall, 1 steel, 2 lid
//            SLOT_* ROW_* EDGE_LOW EDGE_HIGH RELIEF_LOW RELIEF_HIGH  from the channel table
//
// Local frame: x to the right, y up the wall, z outward. Lengths in mm, angles in rad, radiance in
// the surroundings' unit. mu is a cosine outside the resin, the z of an inside direction its cosine.
const float PI = 3.14159265358979;

struct Spot {          // where the eye's ray meets the cup, in the stage's frame
  vec2 wall;           // turn (rad, 0 front, right positive), height up the wall (mm)
  float radius;        // mm
  vec3 right, up, normal, view;
  float footprint;     // side of a sample on the wall, mm
  float offset;        // sub-sample's place in (0, 1): breaks fixed patterns
};

// The wall's own numbers, row 0 of the table.
vec4 param(int row, int slot) { return texelFetch(tableTex, ivec2(slot, row), 0); }

// ---- surroundings ------------------------------------------------------------------------------
// Octahedral map: Cigolle et al. (2014), Survey of Efficient Representations, JCGT 3(2).
vec2 octahedral(vec3 d) {
  d *= 1.0 / (abs(d.x) + abs(d.y) + abs(d.z));
  vec2 s = vec2(d.x >= 0.0 ? 1.0 : -1.0, d.y >= 0.0 ? 1.0 : -1.0);
  vec2 p = d.z >= 0.0 ? d.xy : (1.0 - abs(d.yx)) * s;
  return p * 0.5 + 0.5;
}
vec3 mirror_light(vec3 d) {
  return textureLod(mirrorTex, (octahedral(d) * MIRROR_SIDE + 1.0) / (MIRROR_SIDE + 2.0), 0.0).rgb;
}
vec3 gloss_texel(vec2 at) { return textureLod(glossTex, at / GLOSS_SIZE, 0.0).rgb; }
// One bilinear read; the level is dithered over the sub-samples instead of blended.
vec3 gloss_light(vec3 d, float level, float offset) {
  float l = clamp(floor(level + offset), 1.0, 7.0);
  float side = exp2(10.0 - l);
  vec2 corner = l < 1.5 ? vec2(1.0) : vec2(515.0, 513.0 - 2.0 * side + 2.0 * (l - 2.0));
  return gloss_texel(corner + octahedral(d) * side);
}
float level_of(float sigma) { return 1.0 + log2(max(sigma, 1e-4) / 0.00872665); }
// Integral of T(mu) L mu over the hemisphere about n.
vec3 transmitted_irradiance(vec3 n) { return gloss_texel(vec2(647.0, 261.0) + octahedral(n) * 64.0); }

// ---- Fresnel -----------------------------------------------------------------------------------
// Dielectric, unpolarised; cosines outside and inside. Born & Wolf (1999), sec. 1.5.2.
float fresnel_dielectric(float outside, float inside, float ior) {
  float s = (outside - ior * inside) / (outside + ior * inside);
  float p = (ior * outside - inside) / (ior * outside + inside);
  return 0.5 * (s * s + p * p);
}
// Metal: the spectrally integrated reflectance as a polynomial in 1 - c.
vec3 metal_terms[FRESNEL_TERMS];
float metal_lowest;                                    // cosine where the fit begins
void load_metal(int row, int slot) {
  for (int i = 0; i < FRESNEL_TERMS; i++) metal_terms[i] = param(row, slot + i).rgb;
  metal_lowest = param(row, slot + 1).a;
}
vec3 fresnel_metal(float c) {
  float x = 1.0 - clamp(c, metal_lowest, 1.0);
  vec3 r = metal_terms[FRESNEL_TERMS - 1];
  for (int i = FRESNEL_TERMS - 2; i >= 0; i--) r = r * x + metal_terms[i];
  return clamp(r, 0.0, 1.2);                          // gold's red lies beyond sRGB: 1.07 in lamp light
}

// ---- rough metal under the resin ---------------------------------------------------------------
// Smith's masking for GGX: Walter et al. (2007), eq. 34.
float smith_g1(vec3 l, vec2 alpha2) {
  float t = dot(alpha2, l.xy * l.xy) / (l.z * l.z);
  return 2.0 / (1.0 + sqrt(1.0 + t));
}
// Visible normals by spherical caps: Dupuy & Benyoub (2023), doi:10.1111/cgf.14867.
vec3 visible_normal(vec3 stretched, vec2 alpha, vec2 cos_sin, float u) {
  float z = (1.0 - u) * (1.0 + stretched.z) - stretched.z;
  float r = sqrt(max(1.0 - z * z, 0.0));
  return normalize(vec3(alpha * (r * cos_sin + stretched.xy), z + stretched.z));
}
vec2 turned(vec2 a, vec2 b) { return vec2(a.x * b.x - a.y * b.y, a.y * b.x + a.x * b.y); }
// Inside direction l (frame of the base) to outside direction w (same frame). The wall bends by
// bend = depth / radius a unit of slope. Returns T (0 if thrown back), outside and inside cosine.
vec3 leave(vec3 l, float bend, float ior, out vec3 w) {
  float d = bend * l.x / max(l.z, 0.05);
  float cd = 1.0 - 0.5 * d * d;
  float x = l.x * cd - l.z * d, z = l.z * cd + l.x * d;
  vec2 o = ior * vec2(x, l.y);
  float s2 = dot(o, o), mu = sqrt(max(1.0 - s2, 0.0));
  w = vec3(o.x * cd + mu * d, o.y, mu * cd - o.x * d);
  float through = (s2 < 1.0 && l.z > 0.0) ? 1.0 - fresnel_dielectric(mu, z, ior) : 0.0;
  return vec3(through, mu, max(z, 0.02));
}
float slant_of(float c) { return 4.0 * (1.0 - max(c, LOWEST_COSINE)); }  // lobes.py fits over it
vec4 lobe_terms(int row, float x) {
  vec4 r = param(row, SLOT_LOBES_COATED + LOBE_TERMS - 1);
  for (int i = LOBE_TERMS - 2; i >= 0; i--) r = r * x + param(row, SLOT_LOBES_COATED + i);
  return r;
}
// Radiance from rough metal, without the face's own mirror term and its first passage.
// Filtered importance sampling of visible normals (Krivanek & Colbert 2008) with the spread of the
// samples widened by the passage through the face; light thrown back inside is a geometric series.
// v: inside view direction in the frame of the base; tilt: slope of a crinkle; coated: resin above?
vec3 rough_metal(vec3 v, vec2 tilt, vec2 alpha, mat3 stage_from_base, float bend, float ior,
                 int row, vec3 loop, float offset, int samples, int bounces) {
  const float K = 0.45;
  float n = float(FOIL_SAMPLES);
  vec2 a2 = alpha * alpha;
  float room = (3.55 * K) * (3.55 * K) * alpha.x * alpha.y / n;   // leaves room for the blur of a read
  vec2 s2 = max(a2 - room, 0.04 * a2), sa = sqrt(s2);
  vec3 vt = normalize(vec3(v.xy - tilt * v.z, max(v.z + dot(tilt, v.xy), 0.05)));
  vec3 stretched = normalize(vec3(sa * vt.xy, vt.z));
  float visible = smith_g1(vt, a2) / (4.0 * vt.z) / (PI * sa.x * sa.y);
  float level0 = level_of(K) - 0.5 * log2(n * visible / (ior * ior));
  float a0 = 2.0 * PI * fract(2.5 * offset);
  vec2 cs = vec2(cos(a0), sin(a0));
  const vec2 GOLDEN = vec2(-0.7373688780783197, -0.6754902942615238);
  float shift = fract(0.5 + offset), weight = 0.0;
  vec3 sum = vec3(0.0);
  for (int i = 0; i < samples; i++) {
    vec3 m0 = visible_normal(stretched, sa, cs, (float(i) + shift) / n);
    cs = turned(cs, GOLDEN);
    vec3 m = normalize(vec3(m0.xy + tilt * m0.z, m0.z));
    float c = dot(v, m);
    vec3 l = 2.0 * c * m - v, w;
    vec3 t = leave(l, bend, ior, w);
    float g = t.x * smith_g1(vec3(l.xy, max(l.z, 0.02)), a2);
    vec2 q = m0.xy * m0.xy / s2;
    float Q = q.x + q.y + m0.z * m0.z;
    float level = level0 - 0.5 * log2(max(t.y, 1e-4) / (Q * Q * t.z));
    sum += g * fresnel_metal(c) * gloss_light(stage_from_base * w, clamp(level, 1.0, 7.0), offset);
    weight += g;
  }
  vec3 mean = sum / max(weight, 1e-4);
  if (ior <= 1.0) return param(row, SLOT_FRESNEL_BARE).a * mean;   // in air nothing is thrown back
  float x = slant_of(v.z);
  vec4 a = lobe_terms(row, x);                                      // a1, a2, r, exit along view
  vec3 R = min(fresnel_metal(v.z), 1.0);
  vec3 returned = a.y * loop * R * R / (1.0 - a.z * loop * R);
#if BOUNCE_SAMPLES > 0
  float nb = float(BOUNCE_SAMPLES), es = 0.0;
  vec3 bounced = vec3(0.0);
  vec3 st0 = normalize(vec3(alpha * vt.xy, vt.z));
  cs = vec2(cos(a0), sin(a0));
  float a1 = 2.0 * PI * fract(0.25 + 0.71 * offset);
  vec2 cb = vec2(cos(a1), sin(a1));
  const vec2 PLASTIC = vec2(-0.9053, -0.4247);
  float blur0 = clamp(1.1 * inversesqrt(nb), 0.09, 0.45);
  float lv0 = level_of(blur0), lv1 = level_of(min(blur0, 2.5 * ior * sqrt(alpha.x * alpha.y)));
  for (int i = 0; i < bounces; i++) {
    vec3 m = visible_normal(st0, alpha, cs, (float(i) + shift) / nb);
    cs = turned(cs, GOLDEN);
    vec3 l = 2.0 * dot(vt, m) * m - vt, w;
    vec3 t = leave(l, 0.0, ior, w);
    float x = l.z > 0.0 ? (1.0 - t.x) * smith_g1(vec3(l.xy, max(l.z, 0.02)), a2) : 0.0;
    vec3 b = vec3(-l.xy, max(l.z, 0.02));
    m = visible_normal(normalize(vec3(alpha * b.xy, b.z)), alpha, cb,
                       fract(0.7548777 * float(i) + 0.5 + 0.37 * offset));
    cb = turned(cb, PLASTIC);
    l = 2.0 * dot(b, m) * m - b;
    vec3 t2 = leave(l, bend, ior, w);
    x *= t2.x * smith_g1(vec3(l.xy, max(l.z, 0.02)), a2);
    bounced += x * gloss_light(stage_from_base * w, t.x > 0.0 ? lv1 : lv0, offset);
    es += x;
  }
  return a.x * mean + returned * bounced / max(es, 1e-4);
#else
  vec4 e = param(row, SLOT_EXIT_COATED);
  float up = ((e.w * x + e.z) * x + e.y) * x + e.x;
  float along = length(v.xy);
  vec3 w = vec3(along > 1e-4 ? v.xy / along * a.w : vec2(0.0), up);
  float len = clamp(length(w), 1e-3, 0.9999);
  float sigma = min(sqrt(-log(len)), 0.56);
  return a.x * mean + returned * gloss_light(stage_from_base * (w / len), level_of(sigma), offset);
#endif
}

// ---- hashing -----------------------------------------------------------------------------------
// pcg3d: Jarzynski & Olano (2020), Hash Functions for GPU Rendering, JCGT 9(3). Twin: flakes.py.
uvec3 pcg3d(uvec3 v) {
  v = v * 1664525u + 1013904223u;
  v.x += v.y * v.z; v.y += v.z * v.x; v.z += v.x * v.y;
  v ^= v >> 16u;
  v.x += v.y * v.z; v.y += v.z * v.x; v.z += v.x * v.y;
  return v;
}
int wrapped(int a, int n) { return a < 0 ? a + n : (a >= n ? a - n : a); }

// Slope of crinkled foil: gradient noise (Perlin 2002) with its analytic derivative, mm/mm.
vec2 noise_gradient(ivec2 cell, int columns, uint salt) {
  uvec3 h = pcg3d(uvec3(uint(wrapped(cell.x, columns) + 4096), uint(cell.y + 4096), salt));
  return vec2(h.xy >> 8u) * (2.45 / 16777216.0) - 1.225;   // mean square length 1
}
vec2 noise_slope(vec2 p, int columns, uint salt) {          // p in cells
  vec2 f = floor(p), t = p - f;
  ivec2 c = ivec2(f);
  vec2 ga = noise_gradient(c, columns, salt), gb = noise_gradient(c + ivec2(1, 0), columns, salt);
  vec2 gc = noise_gradient(c + ivec2(0, 1), columns, salt), gd = noise_gradient(c + ivec2(1, 1), columns, salt);
  vec2 s = t * t * t * (t * (t * 6.0 - 15.0) + 10.0), ds = 30.0 * t * t * (t * (t - 2.0) + 1.0);
  float a = dot(ga, t), b = dot(gb, t - vec2(1.0, 0.0)), e = dot(gc, t - vec2(0.0, 1.0)), g = dot(gd, t - vec2(1.0));
  vec2 mixed = mix(mix(ga, gb, s.x), mix(gc, gd, s.x), s.y);
  return mixed + ds * vec2(mix(b - a, g - e, s.y), mix(e, g, s.x) - mix(a, b, s.x));
}
vec2 crinkle(vec2 wall, float radius) {
  vec2 k = vec2(1.0 / (2.0 * PI), 1.0 / (2.0 * PI * radius));
  vec2 p = vec2(wall.x * k.x + 0.5, wall.y * k.y);
  return 0.022 * noise_slope(p * 60.0, 60, 11u) + 0.013 * noise_slope(p * 190.0, 190, 13u)
       + 0.006 * noise_slope(p * 560.0, 560, 17u);
}

// ---- hiding ------------------------------------------------------------------------------------
// Overlap of two discs, integrated along the ray pair's separation: shared gaps of eye and light
// (the hot spot of canopy optics, Kuusk 1985).
float shared_gap(float x) { return 0.8489 * (1.0 - pow(1.0 - 0.5 * min(x, 2.0), 2.356)); }
// What is not hidden of an inside direction l by the flakes above one that is seen along v.
// crowd: optical depth of the layer, the flake's depth in it as a share, height over radius.
float unhidden(vec3 l, vec3 v, vec3 crowd) {
  float k = length(l.xy / max(l.z, 0.05) - v.xy / v.z) * crowd.z;
  float J = shared_gap(k * crowd.y) / max(k, 1e-3);
  return l.z > 0.05 ? exp(-crowd.x * max(crowd.y - J, 0.0)) : 0.0;
}

// ---- gratings ----------------------------------------------------------------------------------
#if GRATED_SHEETS == 1 || GRATED_FLAKES == 1
// Light in the first and second orders, in shares of what the metal reflects: what leaves, what the
// face holds back, what other flakes hide, and the sum of all three: what the mirror's order lacks.
struct Orders { vec3 leaves, held, hidden, all_; };
// The part of the wave vector along the foil is kept, but for multiples of one over the period:
// Palmer & Loewen (2020), Diffraction Grating Handbook, eq. 2-1 and 2-3. Twin: material/grating.py.
// v: inside view direction; m: normal of the foil; g: across the grooves; alpha: of its facets,
// whose GGX law is a mixture of Gaussians of variance alpha^2 / 2t with weight exp(-t): each band
// of wavelength reads one of them. narrow: spread of a smooth flake's reading, rad.
Orders orders_of(vec3 v, vec3 m, vec2 g, float alpha, float narrow, vec3 crowd, float part,
                 mat3 stage_from_base, float bend, float ior, int row, float offset) {
  vec4 grating = param(row, SLOT_GRATING);              // period (um), share of a first, of a second order
  vec3 across = normalize(vec3(g, -dot(g, m.xy) / m.z));
  vec3 mirrored = dot(v, m) * m - v;
  Orders o = Orders(vec3(0.0), vec3(0.0), vec3(0.0), vec3(0.0));
  int count = grating.y <= 0.0 || part <= 0.0 ? 0 : (grating.z > 0.004 ? 4 : 2);
  for (int k = 0; k < count; k++) {
    float order = (k & 1) == 0 ? float(k / 2 + 1) : -float(k / 2 + 1);
    float share = part * (k < 2 ? grating.y : grating.z);
    for (int j = 0; j < GRATING_BANDS; j++) {
      float shift = order * (FIRST_UM + (float(j) + offset) * BAND_UM) / (grating.x * ior);
      vec3 along = mirrored + shift * across, w;
      float z2 = 1.0 - dot(along, along);
      vec3 l = along + sqrt(max(z2, 0.0)) * m;
      vec3 t = leave(l, bend, ior, w);
      vec3 weight = z2 > 0.0 ? share * param(row, SLOT_BANDS + j).rgb : vec3(0.0);
      float q = -log(fract(0.618034 * float(j) + 0.3819 * float(k) + 0.569840 * offset * SAMPLES + 0.013) * 0.99 + 0.005);
      float lobe = ior * (v.z + max(l.z, 0.0)) * alpha;  // slope to direction, by the change of angle
      float gap = abs(order) * 0.5 * BAND_UM / (grating.x * SAMPLES);
      float sigma = sqrt((0.5 * lobe * lobe / q + gap * gap) / max(t.y, 0.1) + narrow * narrow);
      float V = crowd.x > 0.0 ? unhidden(l, v, crowd) : 1.0;
      o.leaves += weight * (V * t.x) * gloss_light(stage_from_base * w, clamp(level_of(sigma), 1.0, 7.0), offset);
      o.held += weight * (V * (1.0 - t.x));
      o.hidden += weight * (1.0 - V);
      o.all_ += weight;
    }
  }
  return o;
}
// Rough metal with a grating, from its light as plain metal. What the face holds back comes to the
// grating again and again, until an order takes it out where the mirror's would have gone.
vec3 grated_metal(vec3 plain, vec3 v, vec2 tilt, float alpha, vec4 lie, vec2 wall, mat3 stage_from_base,
                  float bend, float ior, int row, float offset) {
  vec3 m = normalize(vec3(tilt, 1.0)), R = fresnel_metal(dot(v, m));
  float turn = lie.x;                                   // of the vector across the grooves; then directions,
  if (lie.z > 0.0) {                                    // columns of shards, their height
    vec2 q = vec2((wall.x / (2.0 * PI) + 0.5) * lie.z, wall.y / lie.w), f = floor(q);
    float nearest = 9.0;
    for (int k = 0; k < 9; k++) {                       // shards: Worley (1996), doi:10.1145/237170.237267
      vec2 at = f + vec2(float(k % 3 - 1), float(k / 3 - 1));
      uvec3 h = pcg3d(uvec3(uint(wrapped(int(at.x), int(lie.z)) + 4096), uint(int(at.y) + 4096), 23u));
      vec2 d = at + vec2(h.xy >> 8u) * (1.0 / 16777216.0) - q;
      if (dot(d, d) < nearest) { nearest = dot(d, d); turn = float(h.z >> 8u) * (PI / 16777216.0); }
    }
  }
  vec3 leaves = vec3(0.0), held = vec3(0.0), all_ = vec3(0.0);
  for (int i = 0; i < int(lie.y); i++) {
    float a = turn + 0.5 * PI * float(i);
    Orders o = orders_of(v, m, vec2(cos(a), sin(a)), alpha, 0.0, vec3(0.0), 1.0 / lie.y, stage_from_base, bend, ior, row, offset);
    leaves += o.leaves; held += o.held; all_ += o.all_;
  }
  float out_ = max(param(row, SLOT_GRATING).y / max(lie.y, 1.0), 0.02);
  vec3 later = out_ * R / (1.0 - (1.0 - out_) * R);
  return (1.0 - all_ + later * held) * plain + R * leaves;
}
// The colour nearest to c that can be shown: grey of its luminance is mixed in (IEC 61966-2-1).
vec3 in_gamut(vec3 c) {
  float Y = max(dot(c, vec3(0.2126, 0.7152, 0.0722)), 0.0), low = min(min(c.x, c.y), c.z);
  return low < 0.0 ? vec3(Y) + (c - Y) * (Y / max(Y - low, 1e-6)) : c;
}
#endif

// ---- flakes ------------------------------------------------------------------------------------
#if FLAKES > 0 && WITH_FLAKES == 1
// Share of population i; the field goes on round the cup and is held at the wall's ends, so that no
// read reaches over to the other end.
float covered(int i, vec2 uv) {
  float half_row = 0.5 / float(textureSize(fieldTex0, 0).y);
  uv.y = clamp(uv.y, half_row, 1.0 - half_row);
  vec4 t = i < 4 ? textureLod(fieldTex0, uv, 0.0)
#if FLAKES > 4
                 : textureLod(fieldTex1, uv, 0.0);
#else
                 : vec4(0.0);
#endif
  int j = i & 3;
  return j == 0 ? t.x : (j == 1 ? t.y : (j == 2 ? t.z : t.w));
}
struct Flake { uvec3 id; vec2 place; float depth; float optical; int population; };
// Layered Poisson process in (column, row, t): a flake exists where t < m, smaller t lies on top.
// m = cell area * lambda; lambda = -ln(1 - C) / (A <m_z>). Top flake of population i at the wall
// point, if any. The field is taken in the middle of each cell. Twin: flakes.py.
// here: optical depth of the population at the wall point, between the middles of the cells.
bool top_flake(int i, vec2 wall, float radius, float length_mm, bool wanted, out float here, inout Flake found) {
  vec4 shape = param(ROW_FLAKES + i, 0);              // corner to corner (mm), cell height, columns, salt
  float across = 2.0 * PI * radius / shape.z;         // width of a cell here, mm
  vec2 q = vec2((wall.x / (2.0 * PI) + 0.5) * shape.z, wall.y / shape.y + 64.0);
  vec2 f = floor(q - 0.5), r0 = q - f;
  int ix = int(f.x), iy = int(f.y), columns = int(shape.z);
  vec2 du = vec2(1.0 / shape.z, shape.y / length_mm), c0 = vec2(f.x, f.y - 64.0) * du;
  float per = across * shape.y * param(ROW_FLAKES + i, 1).x;   // cell area / (A <m_z>)
  vec4 m;                                             // field in the middle of the four cells
  float y0 = c0.y + 0.5 * du.y, y1 = c0.y + 1.5 * du.y;
  m = vec4(covered(i, vec2(c0.x + 0.5 * du.x, y0)), covered(i, vec2(c0.x + 1.5 * du.x, y0)),
           covered(i, vec2(c0.x + 0.5 * du.x, y1)), covered(i, vec2(c0.x + 1.5 * du.x, y1)));
  m = -log(1.0 - min(m, vec4(0.985)));
  vec2 part = clamp(r0 - 0.5, 0.0, 1.0);
  here = mix(mix(m.x, m.y, part.x), mix(m.z, m.w, part.x), part.y);
  m *= per;
  float most = max(max(m.x, m.y), max(m.z, m.w));
  uint X0 = uint(wrapped(ix, columns) + 65536), X1 = uint(wrapped(ix + 1, columns) + 65536), Y0 = uint(iy + 65536);
  vec2 to_radii = 2.0 * vec2(across, shape.y) / shape.x;
  float best = 1e9;
  int layers = wanted ? int(ceil(min(most, 12.0))) : 0;
  for (int l = 0; l < layers; l++) {
    uint s = uint(shape.w) + 8u * uint(l);
    uvec4 h = uvec4(pcg3d(uvec3(X0, Y0, s)).x, pcg3d(uvec3(X1, Y0, s)).x,
                    pcg3d(uvec3(X0, Y0 + 1u, s)).x, pcg3d(uvec3(X1, Y0 + 1u, s)).x);
    // Poisson(1) by inversion of its distribution, times 2^32
    ivec4 k = ivec4(greaterThanEqual(h, uvec4(0x5e2d58d9u))) + ivec4(greaterThanEqual(h, uvec4(0xbc5ab1b1u)))
            + ivec4(greaterThanEqual(h, uvec4(0xeb715e1eu))) + ivec4(greaterThanEqual(h, uvec4(0xfb239797u)))
            + ivec4(greaterThanEqual(h, uvec4(0xff1025f6u)));
    k = ivec4(k.x, k.x + k.y, k.x + k.y + k.z, k.x + k.y + k.z + k.w);
    for (int a = 0; a < k.w; a++) {
      bool g1 = a >= k.x, g2 = a >= k.y, g3 = a >= k.z;
      bool hx = (g1 && !g2) || g3, hy = g2;
      int b = a - (g3 ? k.z : (g2 ? k.y : (g1 ? k.x : 0)));
      uvec3 c = uvec3(hx ? X1 : X0, Y0 + (hy ? 1u : 0u), s + 1u + uint(b));
      uvec3 z = pcg3d(c);
      vec2 fr = vec2(z.xy >> 8u) * (1.0 / 16777216.0);
      float t = float(l) + float(z.z >> 8u) * (1.0 / 16777216.0);
      vec2 d = (r0 - vec2(hx ? 1.0 : 0.0, hy ? 1.0 : 0.0) - fr) * to_radii;
      float turn = (float(z.z & 255u) + 0.5) * (1.0471976 / 256.0) - 0.5235988;
      float ct = 1.0 - 0.5 * turn * turn * (1.0 - turn * turn * (1.0 / 12.0)), st = turn * (1.0 - turn * turn * (1.0 / 6.0));
      vec2 e = abs(vec2(d.x * ct - d.y * st, d.y * ct + d.x * st));
      if (t < best && max(e.x, 0.5 * e.x + 0.8660254 * e.y) < 0.8660254) {
        float most_t = g3 ? m.w : (g2 ? m.z : (g1 ? m.y : m.x));
        if (t < most_t) { best = t; found = Flake(c, d, t / most_t, most_t / per, i); }
      }
    }
    if (best < float(l + 1)) break;
  }
  return best < 1e8;
}
// What lies round a flake: the mean field of light in the layer at this place. Names: eye's own
// hemisphere mean (around), light thrown down by the face on to flakes (below_face: at steep
// angles, mirrored: at the angle of the flake that is seen), on to paint
// from paint (on_paint), paint under a flake (under), down from a neighbour's back (behind).
struct Layer { float tau; vec3 mean, below_face, mirrored, on_paint, under, behind; vec4 gap, gap_under; };
void gaps_at(int row, float tau, out vec4 gap, out vec4 gap_under) {
  float s = sqrt(min(tau, MOST_DEPTH * 0.9999) / MOST_DEPTH) * float(GAP_NODES - 1);
  int i = int(s);
  gap = mix(param(row, 2 * i), param(row, 2 * i + 2), s - float(i));
  gap_under = mix(param(row, 2 * i + 1), param(row, 2 * i + 3), s - float(i));
}
// tau: optical depth of all flakes here; mean: their reflectance; aside: light that a steep flake
// sends along the face; third: light at the mirror direction, spread by three flakes.
Layer layer_at(int i, float tau, vec3 mean, vec3 rho, vec3 around, vec3 aside, vec3 third, float mu) {
  Layer y;
  y.tau = tau; y.mean = mean;
  gaps_at(ROW_GAPS + i, tau, y.gap, y.gap_under);
  vec4 e = param(ROW_FLAKES + i, 10);
  float t3 = ((e.w * mu + e.z) * mu + e.y) * mu + e.x, C = 1.0 - exp(-tau);
  float T2 = clamp(0.083 + 0.76 * param(ROW_FLAKES + i, 1).y, 0.08, 0.3);  // escape near the critical angle: flat flakes trap light
  float V2 = y.gap_under.w;
  vec3 cu = 1.0 - (1.0 - y.gap_under.z) * mean * rho;
  vec3 yg = y.gap.y + (1.0 - y.gap.w) * mean * rho * y.gap_under.x / cu;
  vec3 yx = y.gap.z + (1.0 - y.gap.w) * mean * rho * y.gap_under.y / cu;
  vec3 den = 1.0 - C * mean * (V2 * (1.0 - T2) + (1.0 - V2) * mean) - (1.0 - C) * rho * yx;
  vec3 from_paint = (1.0 - C) * rho * yg * around, from_flakes = C * mean * V2 * T2;
  y.below_face = (from_flakes * aside + from_paint) / den;
  y.on_paint = (from_flakes * around + from_paint) / den;
  // what the face mirrors at gentler angles meets another flake and leaves where the first ray did
  const float T = 0.88;
  y.mirrored = (C * mean * V2 * T * third + from_paint)
              / (1.0 - C * mean * (V2 * (1.0 - T) + (1.0 - V2) * mean) - (1.0 - C) * rho * yx);
  y.under = (y.gap_under.x * around + y.gap_under.y * y.below_face) / cu;
  float C3 = 0.5 + 0.5 * C, V3 = 0.3;
  y.behind = (C3 * mean * V3 * (t3 * third + (1.0 - t3) * y.below_face) + (1.0 - C3) * rho * y.under)
           / (1.0 - C3 * mean * mean * (1.0 - V3));
  return y;
}
// Light of paint between flakes over the light of the same paint without any.
vec3 between_flakes(Layer y, vec3 rho, vec3 around, float k2) {
  float face = 1.0 - k2;                               // (1 - K1) / n^2
  vec3 lit = y.gap.x * face * around + y.gap.z * y.on_paint + (1.0 - y.gap.w) * y.mean * rho * y.under;
  return lit / max(face * around / (1.0 - rho * k2), vec3(1e-5));
}
// One flake of reflectance R tilted by slopes, its depth as a share of the layer above it.
vec3 flake_seen(vec2 slopes, vec3 R, float depth, float height_over_radius, Layer y, vec3 v,
                mat3 stage_from_base, float bend, float ior, float level, float offset) {
  vec3 m = normalize(vec3(slopes, 1.0));
  vec3 l = 2.0 * dot(v, m) * m - v, w;
  vec3 t = leave(l, bend, ior, w);
  float V = unhidden(l, v, vec3(y.tau, depth, height_over_radius));
  vec3 direct = t.x * gloss_light(stage_from_base * w, level, offset) + (1.0 - t.x) * mix(y.below_face, y.mirrored, smoothstep(0.2, 0.8, t.x));
  return R * (V * direct + (1.0 - V) * y.mean * y.behind);
}
// Tilt of a flake as slopes of its normal, and a number that picks its colour.
vec3 flake_look(Flake f) {
  uvec3 e = pcg3d(uvec3(f.id.xy, f.id.z + 0x8000u));
  vec3 r = vec3(e >> 8u) * (1.0 / 16777216.0);
  float slope = param(ROW_FLAKES + f.population, 1).y * sqrt(-2.0 * log(1.0 - 0.9999 * r.x));
  float azimuth = 2.0 * PI * r.y;
  return vec3(slope * cos(azimuth), slope * sin(azimuth), r.z);
}
// Spread of what a flake mirrors: the light's narrowest level, and a satin coat's blur.
float smooth_spread(int population) { return length(vec2(0.00872665, param(ROW_FLAKES + population, 2).z)); }
// through: the share of light from below that passes it to the eye.
vec3 flake_light(Flake f, vec3 r, Layer y, vec3 v, mat3 stage_from_base, float bend, float ior, float offset,
                 out vec3 through) {
  vec4 look = param(ROW_FLAKES + f.population, 1);      // 1/(A<m_z>), tilt slope, height/radius, parts
  vec2 slopes = r.xy;
  int row = 0;
  for (int j = 0; j < int(look.w); j++) {                // colour by cumulative share
    vec4 part = param(ROW_FLAKES + f.population, 3 + j);
    if (r.z <= part.x) { row = int(part.y); break; }
  }
  load_metal(row, SLOT_FRESNEL_COATED);
  vec3 m = normalize(vec3(slopes, 1.0)), R = fresnel_metal(dot(v, m));
  vec3 seen = flake_seen(slopes, R, f.depth, look.z, y, v, stage_from_base, bend, ior, level_of(smooth_spread(f.population)), offset);
  through = vec3(0.0);
#if CLEAR_FLAKES == 1
  through = param(row, SLOT_PASSES).rgb * (1.0 - R);
#endif
#if GRATED_FLAKES == 1
  float turn = float(pcg3d(uvec3(f.id.xy, f.id.z + 0x8000u)).x & 255u) * (PI / 256.0);  // flakes fall any way
  Orders o = orders_of(v, m, vec2(cos(turn), sin(turn)), 0.0, smooth_spread(f.population), vec3(y.tau, f.depth, look.z), 1.0,
                       stage_from_base, bend, ior, row, offset);
  seen = (1.0 - o.all_) * seen + R * (o.leaves + o.held * y.below_face + o.hidden * y.mean * y.behind);
#endif
  return seen;
}
#if GRATED_FLAKES == 1
// Mean of the orders over all turns of the grooves: one wavelength a channel, read widely.
vec3 mean_orders(vec2 slopes, float depth, float period_um, vec4 look, Layer y, vec3 v, mat3 stage_from_base,
                 float bend, float ior, float turn, float offset) {
  vec3 m = normalize(vec3(slopes, 1.0)), sum = vec3(0.0), w;
  vec2 g = vec2(cos(turn), sin(turn));
  for (int i = 0; i < 3; i++) {
    vec3 one = vec3(i == 0, i == 1, i == 2);
    vec3 along = dot(v, m) * m - v + dot(one, vec3(0.605, 0.545, 0.455)) / (period_um * ior)
                                     * normalize(vec3(g, -dot(g, m.xy) / m.z));
    vec3 l = along + sqrt(max(1.0 - dot(along, along), 0.0)) * m;
    vec3 t = leave(l, bend, ior, w);
    float V = unhidden(l, v, vec3(y.tau, depth, look.z));
    vec3 direct = t.x * gloss_light(stage_from_base * w, 4.2, offset) + (1.0 - t.x) * y.below_face;
    sum += one * (V * direct + (1.0 - V) * y.mean * y.behind);
  }
  return y.mean * sum;
}
#endif
// Mean radiance of the flakes that show here, over their tilts and depths: MEAN_TILTS strata a
// sub-sample, each read as wide as its stratum.
vec3 mean_flake(int i, Layer y, vec3 v, mat3 stage_from_base, float bend, float ior, float offset, int count) {
  vec4 look = param(ROW_FLAKES + i, 1);
  float C = 1.0 - exp(-y.tau), n = float(MEAN_TILTS);
  float level = level_of(length(vec2(2.0 * ior * look.y * 0.9 * inversesqrt(n), param(ROW_FLAKES + i, 2).z)));
  vec3 sum = vec3(0.0);
  for (int j = 0; j < count; j++) {
    float at = float(j) + offset;                       // one spiral over the strata of all sub-samples
    float u = at / n, turn = 2.0 * PI * fract(0.618034 * (at * SAMPLES - 0.5));
    float slope = look.y * sqrt(-2.0 * log(1.0 - u) * (1.0 - 0.81 / n));  // leaves room for the reads' width
    float depth = -log(1.0 - fract(0.7548777 * at * SAMPLES) * C) / max(y.tau, 1e-3);
    vec3 one = flake_seen(slope * vec2(cos(turn), sin(turn)), y.mean, depth, look.z, y, v, stage_from_base, bend, ior,
                          level, offset);
#if GRATED_FLAKES == 1
    vec4 grating = param(ROW_FLAKES + i, 12);           // share in the orders, period
    if (grating.x > 0.0)
      one = mix(one, mean_orders(slope * vec2(cos(turn), sin(turn)), depth, grating.y, look, y, v, stage_from_base,
                                 bend, ior, 2.0 * PI * fract(0.569840 * at * SAMPLES), offset), grating.x);
#endif
    sum += one;
  }
  return sum / max(float(count), 1.0);
}
// Independent flakes in a footprint of f corner-to-corner widths: box-filtered second moments of
// a Boolean model of discs. Share of a flake's deviation that a pixel of `samples` points keeps.
float independent(float f, float C) {
  float A = 0.6495 * (1.0 - 0.27 * C - 0.06 * C * C * C), c = 0.32 + 0.1 * C + 0.16 * C * C;
  return 1.0 + c * f * inversesqrt(A) + f * f / A;
}
float independent_cover(float f, float tau) {
  float A = 0.6495 * exp(-0.275 * tau - 0.014 * tau * tau), c = 0.32 + 0.155 * tau;
  return 1.0 + c * f * inversesqrt(A) + f * f / A;
}
float kept(float whole, float part, float samples) {
  return sqrt((1.0 / whole) / (1.0 / whole + (1.0 - 1.0 / part) / samples));
}
#endif

// ---- the wall ----------------------------------------------------------------------------------
// Paint or print of reflectance rho under the face: Saunderson (1942) with the wall's curvature;
// kept: what a tint leaves of light that the face sends back to the paint.
vec3 paint_light(vec3 rho, vec3 kept, vec3 irradiance, float bend, float ior) {
  float k2 = param(0, 2).x, g = 1.0 + bend;           // internal diffuse reflectance of the face
  return rho * irradiance * (g / (PI * ior * ior)) / (1.0 - rho * kept * (1.0 - (1.0 - k2) * g));
}
// Beer-Lambert, once in and once out: mirrored by metal at the same slant, or of all slants by paint.
vec3 tinted(vec3 light, vec3 optical, float inside, bool mirrored) {
  return light * exp(-optical * (1.0 / inside + (mirrored ? 1.0 / inside : 1.19)));
}
vec2 map_uv(vec2 wall, float length_mm) {             // held at the wall's ends, as the field is
  float half_row = 0.5 / float(textureSize(artTex, 0).y);
  return vec2(wall.x / (2.0 * PI) + 0.5, clamp(wall.y / length_mm, half_row, 1.0 - half_row));
}
vec2 under_resin(vec2 wall, vec2 slope, float depth, float radius) {
  return wall - slope * depth * vec2(1.0 / radius, 1.0);
}
#if SHEETS > 0 && WITH_SHEETS == 1
float edge_mm(int i, vec2 uv) {
  vec4 t = i < 4 ? textureLod(edgeTex0, uv, 0.0)
#if SHEETS > 4
                 : textureLod(edgeTex1, uv, 0.0);
#else
                 : vec4(1.0);
#endif
  int j = i & 3;
  float s = j == 0 ? t.x : (j == 1 ? t.y : (j == 2 ? t.z : t.w));
  return mix(EDGE_LOW, EDGE_HIGH, s);
}
#endif
#if CLEAR_SHEETS == 1
// What a clear film leaves of light from below, which it passes on the way in and out and throws
// back from both sides; the light without it is 1. R: its reflectance at the eye's angle; in: at the
// mean angle of light that comes in; passes: share of the rest that it does not swallow. Under paint
// of reflectance `below` film and face together take the face's place in Saunderson's sum.
vec3 under_film(vec3 R, vec3 in_, vec3 passes, vec3 below, bool matt, float F) {
  vec3 T = passes * (1.0 - in_);
  float k2 = param(0, 2).x;
  vec3 back = in_ + k2 * T * T / max(1.0 - in_, vec3(1e-3));  // of paint's light by film, and by the face behind it
  vec3 fro = matt ? (1.0 - below * k2) / (1.0 - below * back) : 1.0 / (1.0 - in_ * below);
  return passes * (1.0 - R) * T * fro / (1.0 - R * F);
}
#endif
float finish_level() { return param(0, 1).y; }         // 0: mirror gloss, else a blur level
vec3 face_light(vec3 d, float offset) {
  float level = finish_level();
  return level < 0.5 ? mirror_light(d) : gloss_light(d, level, offset);
}

vec3 shade_wall(Spot p) {
  vec4 cup = param(0, 0);                              // wall length, coat ior, base depth, base row
  float ior = cup.y, depth = cup.z;
  mat3 stage_from_wall = mat3(p.right, p.up, p.normal);
  vec3 eye = vec3(dot(p.view, p.right), dot(p.view, p.up), max(dot(p.view, p.normal), 0.02));
  vec3 v = vec3(eye.xy / ior, 0.0);
  v.z = sqrt(1.0 - dot(v.xy, v.xy));
  float F = fresnel_dielectric(eye.z, v.z, ior);
  vec2 slope = v.xy / v.z;
  float stretch = p.footprint / max(eye.z, 0.15);      // a sample's long side on the wall
  vec3 irradiance = transmitted_irradiance(p.normal);

  // base coat and artwork
  vec2 uv = map_uv(under_resin(p.wall, slope, depth, p.radius), cup.x);
  vec4 art = textureLod(artTex, uv, 0.0);
  if (param(0, 2).y > 0.5) {                            // dry artwork is its own face: Saunderson backwards
    float k2 = param(0, 2).x, k1 = 1.0 - (1.0 - k2) * ior * ior;
    vec3 dry = min(art.rgb, vec3(1.0 - k1));
    art.rgb = dry / ((1.0 - k1) * (1.0 - k2) + dry * k2);
  }
  vec3 rho = mix(param(0, 4).rgb, art.rgb, art.a);
  vec3 base_irradiance = irradiance;
#if RELIEF == 1
  vec2 s = mix(vec2(RELIEF_LOW), vec2(RELIEF_HIGH), textureLod(reliefTex, uv, 0.0).rg) * art.a;
  base_irradiance = transmitted_irradiance(normalize(stage_from_wall * vec3(-s, 1.0)));
#endif
  float bend = depth / (p.radius - depth);
  vec3 below = tinted(paint_light(rho, param(0, 5).rgb, base_irradiance, bend, ior), param(0, 3).rgb, v.z, false);
  vec3 light = below;

  // the two outermost sheets here that hide what lies below; order of the lowest that is seen
  int outer = -1, inner = -1;
  float outer_share = 0.0, outer_edge = 0.0, sheet_order = -1.0, lowest = 1e9;
#if SHEETS > 0 && WITH_SHEETS == 1
  for (int i = SHEETS - 1; i >= 0; i--) {
    vec4 sheet = param(ROW_SHEETS + i, 0);             // row of its swatch, order, depth, alpha
    float d = edge_mm(i, map_uv(under_resin(p.wall, slope, sheet.z, p.radius), cup.x));
    float share = clamp(0.5 - d / stretch, 0.0, 1.0);
#if CLEAR_SHEETS == 1
    if (dot(param(int(sheet.x), SLOT_PASSES).rgb, vec3(1.0)) > 0.0) {
      if (share >= 0.5 && outer_share < 1.0) lowest = sheet.y;
      continue;
    }
#endif
    if (outer < 0 && share > 0.0) { lowest = sheet.y; outer = i; outer_share = share; outer_edge = d; sheet_order = sheet.y; }
    else if (outer >= 0 && inner < 0 && share >= 0.5) inner = i;
  }
#endif

  // flakes: outermost population first; those above the sheet win over it
  bool over = false;
  vec3 flake = vec3(0.0), veil = vec3(0.0);            // veil: what a flake lets through of a sheet below
  vec3 albedo = rho;                                    // of what is seen under clear sheets,
  bool matt_below = true;                               // and whether it scatters light all about
#if FLAKES > 0 && WITH_FLAKES == 1
  Flake found = Flake(uvec3(0u), vec2(0.0), 0.0, 0.0, 0);
  bool hit = false;
  float tau = 0.0, above = 0.0, most = 0.0;             // optical depth: all, over the flake found
  int main_one = 0;
  vec3 mean = vec3(0.0), solid = vec3(0.0);
  float covers = 0.0;                                   // optical depth if no flake were clear
  for (int i = FLAKES - 1; i >= 0; i--) {
    vec4 where_ = param(ROW_FLAKES + i, 2);             // order, depth, blur by the coat's face
    vec2 at = under_resin(p.wall, slope, where_.y, p.radius);
    bool wanted = !hit && (where_.x > sheet_order || outer_share < 1.0) && !(inner >= 0 && where_.x < param(ROW_SHEETS + max(inner, 0), 0).y);
    float here;
    bool tops = top_flake(i, at, p.radius - where_.y, cup.x, wanted, here, found);
    mean += here * param(ROW_FLAKES + i, 11).rgb;
#if CLEAR_FLAKES == 1
    // a clear flake does as an opaque one that is there with the chance 1 - T, of reflectance R / (1 - T)
    vec3 stops = here * (1.0 - param(ROW_FLAKES + i, 13).rgb);
    solid += stops;
    covers += here;
    here = dot(stops, vec3(1.0 / 3.0));
#endif
    if (tops) {
      hit = true;
      over = where_.x > lowest;
      above = tau + found.depth * here;
    }
    tau += here;
    if (here > most) { most = here; main_one = i; }
  }
  if (tau > 1e-3 || hit) {
    tau = max(tau, CLEAR_FLAKES == 1 ? 0.002 : 0.02);
    mean = most > 0.0 ? mean / tau : param(ROW_FLAKES + found.population, 11).rgb;
#if CLEAR_FLAKES == 1
    mean = clamp(mean * tau / max(solid, vec3(0.002)), 0.0, 1.0);
    covers = max(covers, 0.02);
#else
    covers = tau;
#endif
    int i = hit ? found.population : main_one;
    vec4 look = param(ROW_FLAKES + i, 1);
    float bend_f = param(ROW_FLAKES + i, 2).y / p.radius, k2 = param(0, 2).x;
    vec3 around = irradiance / (PI * (1.0 - k2) * ior * ior);
    vec3 mirror = reflect(-p.view, p.normal);
    vec3 third = gloss_light(mirror, level_of(min(3.46 * ior * look.y, 0.55)), p.offset);
    vec3 look_f = flake_look(found);
    vec3 m = hit ? normalize(vec3(look_f.xy, 1.0)) : vec3(0.0, 0.0, 1.0);
    vec2 along = ior * (2.0 * dot(v, m) * m.xy - v.xy);  // where a flake sends what the face holds back
    along *= min(length(along), 0.85) / max(length(along), 1e-4);
    vec3 low = stage_from_wall * vec3(along, sqrt(1.0 - dot(along, along)));
    vec3 aside = max(mix(around, gloss_light(low, 5.0, p.offset), clamp(1.68 - 7.0 * look.y, 0.3, 1.2)), 0.0);
    Layer y = layer_at(i, tau, mean, rho, around, aside, third, eye.z);
    light = below * between_flakes(y, rho, around, k2);
    float f = p.footprint * inversesqrt(eye.z) / param(ROW_FLAKES + i, 0).x;
    float fs = f * inversesqrt(SAMPLES), C = 1.0 - exp(-covers);
    float of_flake = kept(independent(f, C), independent(fs, C), SAMPLES);
    float of_cover = kept(independent_cover(f, covers), independent_cover(fs, covers), SAMPLES);
    vec3 through = vec3(0.0);
    if (hit) {
      found.depth = above / tau;
      flake = flake_light(found, look_f, y, v, stage_from_wall, bend_f, ior, p.offset, through);
    }
    bool pull = min(of_flake, of_cover) < 0.84;         // more flakes in a pixel than points
    vec3 average = mean_flake(i, y, v, stage_from_wall, bend_f, ior, p.offset, pull || (CLEAR_FLAKES == 1 && hit) ? MEAN_TILTS : 0);
    vec3 tint = tinted(vec3(1.0), param(ROW_FLAKES + i, 9).rgb, v.z, true);
    flake *= tint;
    average *= tint;
    vec3 shown = average;                               // mean of the points that a flake covers
#if CLEAR_FLAKES == 1
    vec3 stopped = (1.0 - exp(-solid)) / max(C, 1e-3), passed = clamp(1.0 - solid / covers, 0.0, 1.0);
    vec3 deeper = exp(-solid * (1.0 - found.depth));    // of light that passed this flake, past those below
    vec3 shaded = below * clamp(y.under * (1.0 - rho * k2) / max((1.0 - k2) * around, vec3(1e-5)), 0.0, 1.0);
    flake += through * (1.0 - deeper) * average;
    veil = through * through * deeper;                  // the light came in through it too
    if (!over) flake += through * deeper * mix(shaded, light, through);
    shown = stopped * average + (over ? vec3(0.0) : (1.0 - stopped) * mix(shaded, light, passed));
    if (pull) veil = mix((1.0 - stopped) * passed, veil, of_flake);
#endif
    vec3 own = flake - shown;                           // a flake's deviation from flakes' mean
    if (hit && pull && over) flake = shown + of_flake * own;
    vec3 whole = mix(light, shown, C);
    if (pull && !over) light = mix(whole, hit ? shown : light, of_cover) + (hit ? of_flake * own : vec3(0.0));
    else if (hit && !over) light = flake;
    if (hit && !over) { albedo = mean; matt_below = false; }
  }
#endif
  vec3 seen = (1.0 - F) * light, face = F * face_light(reflect(-p.view, p.normal), p.offset);

#if SHEETS > 0 && WITH_SHEETS == 1
  vec2 wrinkled = crinkle(p.wall, p.radius);
#if CLEAR_SHEETS == 1
  for (int i = 0; i < SHEETS; i++) {                    // every clear sheet in its place between those two
    vec4 sheet = param(ROW_SHEETS + i, 0);
    int row = int(sheet.x);
    vec3 passes = param(row, SLOT_PASSES).rgb;
    bool clear = dot(passes, vec3(1.0)) > 0.0, topmost = clear || i == outer;
    float edge = clear ? edge_mm(i, map_uv(under_resin(p.wall, slope, sheet.z, p.radius), cup.x)) : outer_edge;
    float share = clear ? clamp(0.5 - edge / stretch, 0.0, 1.0) : (i == outer ? outer_share : (i == inner ? 1.0 : 0.0));
    bool skip = share <= 0.0 || (i < outer && outer_share >= 1.0) || i < inner;
#if FLAKES > 0 && WITH_FLAKES == 1
    if (hit && over && !skip && param(ROW_FLAKES + found.population, 2).x < sheet.y) {
      seen = (1.0 - F) * flake + veil * seen;           // flakes between two sheets
      over = false; albedo = mean; matt_below = false;
    }
#endif
#else
  int first = inner >= 0 && outer_share < 1.0 ? 0 : (outer_share > 0.0 ? 1 : 2);
  for (int pass = first; pass < 2; pass++) {            // inner sheet, then the outer one over it
    int i = pass == 0 ? inner : outer;
    float share = i < 0 ? 0.0 : (pass == 0 ? 1.0 : outer_share), edge = outer_edge;
    bool skip = share <= 0.0 || (pass == 0 && outer_share >= 1.0), topmost = pass == 1;
    i = max(i, 0);
    vec4 sheet = param(ROW_SHEETS + i, 0);
    int row = int(sheet.x);
#endif
    bool metal = param(row, SLOT_REFLECTANCE).a > 0.5, bare = sheet.z <= 0.0;
    float n = bare && metal ? 1.0 : ior, dr = sheet.z / (p.radius - sheet.z);
    vec3 vb = bare && metal ? eye : v;
    // the wall bends on the way in: frame of the base under the ray
    float d = -dr * vb.x / vb.z, cd = 1.0 - 0.5 * d * d;
    vec3 vi = vec3(vb.x * cd - vb.z * d, vb.y, max(vb.z * cd + vb.x * d, 0.05));
    mat3 stage_from_base = mat3(p.right * cd - p.normal * d, p.up, p.normal * cd + p.right * d);
    vec2 at = under_resin(p.wall, bare ? vec2(0.0) : slope, sheet.z, p.radius);
    vec4 above = param(ROW_SHEETS + i, 1);               // optical depth of tinted coats, crinkle
    vec2 tilt = above.w * wrinkled;
    if (topmost) {                                      // a pressed edge rolls off over 0.12 mm
      float h = 0.06;
      vec2 grad = vec2(edge_mm(i, map_uv(at + vec2(h / p.radius, 0.0), cup.x)), edge_mm(i, map_uv(at + vec2(0.0, h), cup.x))) - edge;
      float roll = clamp(1.0 + edge / 0.12, 0.0, 1.0);
      tilt += grad / h * (0.35 * roll * roll);
    }
    vec2 alpha = vec2(sheet.w, param(ROW_SHEETS + i, 2).w);  // round the cup, up the wall
    if (metal) {
      if (bare) load_metal(row, SLOT_FRESNEL_BARE); else load_metal(row, SLOT_FRESNEL_COATED);
    }
    bool sampled = metal && !skip;
    vec3 loop = exp(-above.rgb * 3.0);                  // tint of a way to the face and back, near the critical angle
    vec3 foil = rough_metal(vi, tilt, alpha, stage_from_base, dr, n, row, loop, p.offset,
                            sampled ? FOIL_SAMPLES : 0, sampled ? BOUNCE_SAMPLES : 0);
#if GRATED_SHEETS == 1
    vec4 lie = param(ROW_SHEETS + i, 3);
    if (!sampled) lie.y = 0.0;
    foil = grated_metal(foil, vi, tilt, sqrt(alpha.x * alpha.y), lie, at, stage_from_base, dr, n, row, p.offset);
#endif
    vec3 matt = paint_light(param(ROW_SHEETS + i, 2).rgb, param(ROW_SHEETS + i, 4).rgb, irradiance, dr, ior);
    vec3 sheet_light = (1.0 - (metal && bare ? 0.0 : F)) * tinted(metal ? foil : matt, above.rgb, v.z, metal);
    float s = skip ? 0.0 : share;
#if CLEAR_SHEETS == 1
    vec3 R = metal ? fresnel_metal(vb.z) : vec3(0.0), again = vec3(0.0);
    if (clear) {
      again = under_film(R, fresnel_metal(bare ? 0.7 : 0.87), passes, albedo, matt_below && !bare, bare ? 0.0 : F);
      sheet_light += again * seen;
    }
    if (s >= 0.5) {
      albedo = metal ? clamp(R + again * albedo, 0.0, 1.0) : param(ROW_SHEETS + i, 2).rgb;
      matt_below = clear ? matt_below : !metal;
    }
#endif
    seen = mix(seen, sheet_light, s);
#if CLEAR_SHEETS == 1
    if (clear && bare) face *= mix(vec3(1.0), again, s);
    else
#endif
    if (metal && bare) face *= 1.0 - s;                 // in air the metal is the face
  }
#endif
#if FLAKES > 0 && WITH_FLAKES == 1
#if CLEAR_FLAKES == 1
  if (hit && over) seen = (1.0 - F) * flake + veil * seen;
#else
  if (hit && over) seen = (1.0 - F) * flake;
#endif
#endif
#if GRATED_SHEETS == 1 || GRATED_FLAKES == 1
  seen = in_gamut(seen + face) - face;
#endif
  return seen + face;
}

// ---- steel and lid -----------------------------------------------------------------------------
// Turned stainless steel: fine lines round the cup spread its reflection along the wall.
// below_rim: mm under the rim; outward: positive on the outside. The inside darkens with depth.
vec3 shade_steel(Spot p, float below_rim, float outward) {
  vec3 eye = vec3(dot(p.view, p.right), dot(p.view, p.up), max(dot(p.view, p.normal), 0.05));
  load_metal(ROW_STEEL, SLOT_FRESNEL_BARE);
  vec3 L = rough_metal(eye, vec2(0.0), vec2(0.05, 0.20), mat3(p.right, p.up, p.normal), 0.0, 1.0,
                       ROW_STEEL, vec3(1.0), p.offset, FOIL_SAMPLES, 0);
  float depth = outward < 0.0 ? max(below_rim, 0.0) : 0.0;
  return L * (0.16 + 0.84 * exp(-depth / 26.0));
}
// Clear grey plastic, shown as a dark smooth solid.
vec3 shade_lid(Spot p) {
  float mu = max(dot(p.view, p.normal), 0.02), inside = sqrt(1.0 - (1.0 - mu * mu) / (1.49 * 1.49));
  float F = fresnel_dielectric(mu, inside, 1.49);
  vec3 body = paint_light(vec3(0.035), vec3(1.0), transmitted_irradiance(p.normal), 0.0, 1.49);
  return (1.0 - F) * body + F * mirror_light(reflect(-p.view, p.normal));
}

// ---- radiance through an 8-bit frame -----------------------------------------------------------
// Mantissas with a shared exponent of 1/8 octave in alpha; alpha 0 is background.
vec4 encode(vec3 radiance) {
  float m = max(max(radiance.x, radiance.y), max(radiance.z, 1e-5));
  float e = clamp(ceil(8.0 * log2(m)), -127.0, 127.0);
  return vec4(radiance * exp2(-e / 8.0), (e + 128.0) / 255.0);
}
