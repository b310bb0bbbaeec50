// Common to surface.vert and surface.frag, put in after their first line. Colours are linear in the sense of a gamma of 2:
// one square root. Compiled as it is for solids, and with
//   SOFT_SHADOW  for shadows with a soft edge,
//   VERTEX_LIT   for lighting at the corners alone: what is small, on a software renderer,
//   GHOST        for what is seen through.
// Software renderers run both sides of a branch, so what is not wanted must not be there.
uniform vec3 ring_colour;
uniform vec3 key_direction;         // toward the key light
uniform vec3 fill_direction;        // toward the light that goes with the eye
uniform vec3 eye_up;
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform vec3 key_colour;
uniform vec3 fill_colour;

// What a face sends to the eye: `steady` as it is, `keyed` by as much as the key light reaches it, and how far it is
// turned away from the eye, from 0 to 1.
struct Light {
  vec3 steady;
  vec3 keyed;
  float rim;
};

// `base`: colour, shine in a. `finish`: turned on a lathe 0..1, light of its own 0..1, share of the radius inside a ring.
// `turned`: along the turning tool.
Light light_from(vec3 n, vec3 to_eye, vec3 turned, vec4 base, vec4 finish) {
  float facing_key = max(dot(n, key_direction), 0.0);
  vec3 ambient = mix(ground_colour, sky_colour, 0.5 + 0.5 * n.y);
  vec3 fill = fill_colour * max(dot(n, fill_direction), 0.0);

  // Steel mirrors a bright band above the horizon and the dark floor below it.
  vec3 r = reflect(-to_eye, n);
  float band = clamp(1.0 - abs(dot(r, eye_up) - 0.42) * 3.0, 0.0, 1.0);
  float glint = max(dot(r, key_direction), 0.0);
  glint *= glint;
  glint *= glint;
  glint *= glint;
  glint *= glint;
  float rim = 1.0 - min(abs(dot(n, to_eye)), 1.0);
  rim *= rim * rim;
  vec3 sheen = base.a * (0.35 + 0.65 * base.rgb) * key_colour;
  float gloss = 0.55 * glint;
#ifndef VERTEX_LIT
  // Faces turned on a lathe spread the light across the tool's marks: a fan that stands still while the part turns.
  vec3 halfway = key_direction + to_eye;
  float along = dot(turned, halfway);
  float fan = 1.0 - along * along / max(dot(turned, turned) * dot(halfway, halfway), 1e-6);
  fan *= fan;
  fan *= fan;
  fan *= fan;
  fan *= fan;
  fan *= fan;
  gloss += finish.x * 0.34 * fan * (0.35 + 0.65 * facing_key);
#endif

  vec3 dim = base.rgb * (1.0 - finish.y);
  Light light;
  light.steady = base.rgb * finish.y + dim * (0.55 * ambient + fill) + sheen * (0.14 * band + 0.12 * rim - 0.07 * finish.x);
  light.keyed = dim * (0.45 * ambient + key_colour * facing_key) + sheen * gloss;
  light.rim = rim;
  return light;
}
