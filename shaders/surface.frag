#version 330 core
// Compiled three times: for solids as it is, with SOFT_SHADOW, and with GHOST. Software renderers run both sides of a
// branch, so what is not wanted must not be there. Colours are linear in the sense of a gamma of 2: one square root.
in vec3 v_position;
in vec3 v_normal;
in vec3 v_shadow;
in vec3 v_turned;
flat in vec4 v_base;                // colour; shine in a
flat in vec4 v_finish;              // turned on a lathe 0..1, light of its own 0..1, share of the radius inside a ring
uniform vec3 ring_colour;
uniform vec3 key_direction;         // toward the key light
uniform vec3 fill_direction;        // toward the light that goes with the eye
uniform vec3 eye_up;
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform vec3 key_colour;
uniform vec3 fill_colour;
#ifdef GHOST
uniform float ghost;                // opacity where it faces the eye
#else
uniform float shadow_strength;
uniform sampler2DShadow shadow_map;
#endif
out vec4 colour;

#if defined(GHOST)
float lit_by_key(vec3 n, float facing_key) { return 1.0; }
#elif defined(SOFT_SHADOW)
uniform float soft_mm;              // how far a soft edge reaches
uniform vec3 shadow_right;          // axes of the map in the world
uniform vec3 shadow_up;
uniform vec3 shadow_per_mm;         // the map's extent is 1

// Points evenly over a disc: the golden angle's spiral.
const vec2 disc[8] = vec2[](vec2(0.250, 0.000), vec2(-0.319, 0.292), vec2(0.049, -0.557), vec2(0.402, 0.525),
    vec2(-0.739, -0.131), vec2(0.700, -0.445), vec2(-0.234, 0.870), vec2(-0.446, -0.859));

float lit_by_key(vec3 n, float facing_key) {
  // Looking aside of the point means looking at other depths of the face it is in; `slope` says by how much.
  vec2 slope = vec2(dot(n, shadow_right), dot(n, shadow_up)) / max(facing_key, 0.2);
  float lit = 0.0;
  for (int i = 0; i < 8; ++i) {
    vec2 aside_mm = disc[i] * soft_mm;
    lit += texture(shadow_map, v_shadow + vec3(aside_mm, dot(slope, aside_mm)) * shadow_per_mm);
  }
  return 1.0 - shadow_strength + shadow_strength * lit / 8.0;
}
#else
float lit_by_key(vec3 n, float facing_key) { return 1.0 - shadow_strength + shadow_strength * texture(shadow_map, v_shadow); }
#endif

void main() {
  vec3 n = normalize(v_normal);
  vec3 to_eye = normalize(-v_position);
  float facing_eye = abs(dot(n, to_eye));
  float facing_key = max(dot(n, key_direction), 0.0);
  float lit = lit_by_key(n, facing_key);

  vec3 ambient = mix(ground_colour, sky_colour, 0.5 + 0.5 * n.y) * (0.55 + 0.45 * lit);
  vec3 light = ambient + key_colour * (facing_key * lit) + fill_colour * max(dot(n, fill_direction), 0.0);
  vec3 shade = v_base.rgb * (light * (1.0 - v_finish.y) + v_finish.y);

  // Steel mirrors a bright band above the horizon and the dark floor below it.
  vec3 r = reflect(-to_eye, n);
  float height = dot(r, eye_up);
  float band = clamp(1.0 - abs(height - 0.42) * 3.0, 0.0, 1.0);
  float glint = max(dot(r, key_direction), 0.0);
  glint *= glint;
  glint *= glint;
  glint *= glint;
  glint *= glint;
  // Faces turned on a lathe spread the light across the tool's marks: a fan that stands still while the part turns.
  float away = length(v_turned);
  vec3 halfway = normalize(key_direction + to_eye);
  float along = dot(v_turned, halfway) / max(away, 1e-3);
  float fan = 1.0 - along * along;
  fan *= fan;
  fan *= fan;
  fan *= fan;
  fan *= fan;
  fan *= fan;
  fan *= 0.35 + 0.65 * facing_key;
  float rim = 1.0 - facing_eye;
  rim *= rim * rim;
  float gloss = v_base.a * (0.14 * band + 0.55 * glint * lit + 0.12 * rim + v_finish.x * (0.34 * fan * lit - 0.07));
  shade += gloss * (0.35 + 0.65 * v_base.rgb) * key_colour;

  shade = mix(shade, ring_colour, step(v_finish.z, away) * step(1e-3, v_finish.z));
  vec3 shown = sqrt(clamp(shade, 0.0, 1.0));
#ifdef GHOST
  colour = vec4(shown, clamp(ghost + 0.6 * rim, 0.0, 1.0));
#else
  colour = vec4(shown, 1.0);
#endif
}
