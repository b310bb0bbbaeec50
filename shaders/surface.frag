#version 330 core
// Colours are linear in the sense of a gamma of 2, which costs one square root.
in vec3 v_position;
in vec3 v_normal;
in vec3 v_shadow;
in vec3 v_turned;
flat in uint v_material;
uniform vec4 material_colour[16];   // base colour; shine in a
uniform vec4 material_finish[16];   // turned on a lathe 0..1, light of its own 0..1, share of the radius inside a ring (0 = none)
uniform vec3 ring_colour;
uniform vec3 key_direction;         // toward the key light
uniform vec3 fill_direction;        // toward the light that goes with the eye
uniform vec3 eye_up;
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform vec3 key_colour;
uniform vec3 fill_colour;
uniform float ghost;                // 0 solid, else opacity of a ghost facing the eye
uniform float shadow_strength;
uniform bool soft_shadow;
uniform float soft_mm;              // how far a soft edge reaches
uniform vec3 shadow_right;          // axes of the map in the world
uniform vec3 shadow_up;
uniform vec3 shadow_per_mm;         // the map's extent is 1
uniform sampler2DShadow shadow_map;
out vec4 colour;

// Points evenly over a disc: the golden angle's spiral.
const vec2 disc[12] = vec2[](vec2(0.204, 0.0), vec2(-0.261, 0.239), vec2(0.040, -0.455), vec2(0.328, 0.429), vec2(-0.603, -0.107),
    vec2(0.571, -0.363), vec2(-0.191, 0.711), vec2(-0.364, -0.702), vec2(0.789, 0.288), vec2(-0.814, 0.366),
    vec2(0.363, -0.862), vec2(0.332, 0.921));

float lit_by_key(vec3 n, float facing_key) {
  if (shadow_strength <= 0.0) return 1.0;
  if (!soft_shadow) return 1.0 - shadow_strength + shadow_strength * texture(shadow_map, v_shadow);
  // Looking aside of the point means looking at other depths of the face it is in; `slope` says by how much.
  vec2 slope = vec2(dot(n, shadow_right), dot(n, shadow_up)) / max(facing_key, 0.2);
  float lit = 0.0;
  for (int i = 0; i < 12; ++i) {
    vec2 aside_mm = disc[i] * soft_mm;
    lit += texture(shadow_map, v_shadow + vec3(aside_mm, dot(slope, aside_mm)) * shadow_per_mm);
  }
  return 1.0 - shadow_strength + shadow_strength * lit / 12.0;
}

void main() {
  vec3 n = normalize(v_normal);
  vec3 to_eye = normalize(-v_position);
  vec4 base = material_colour[v_material];
  vec4 finish = material_finish[v_material];
  float facing_eye = abs(dot(n, to_eye));
  float facing_key = max(dot(n, key_direction), 0.0);
  float lit = lit_by_key(n, facing_key);

  vec3 ambient = mix(ground_colour, sky_colour, 0.5 + 0.5 * n.y) * (0.55 + 0.45 * lit);
  vec3 light = ambient + key_colour * (facing_key * lit) + fill_colour * max(dot(n, fill_direction), 0.0);
  vec3 shade = base.rgb * (light * (1.0 - finish.y) + finish.y);

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
  float gloss = base.a * (0.14 * band + 0.55 * glint * lit + 0.12 * rim + finish.x * (0.34 * fan * lit - 0.07));
  shade += gloss * (0.35 + 0.65 * base.rgb) * key_colour;

  if (finish.z > 0.0 && away > finish.z) shade = ring_colour;
  vec3 shown = sqrt(clamp(shade, 0.0, 1.0));
  colour = ghost > 0.0 ? vec4(shown, clamp(ghost + 0.6 * rim, 0.0, 1.0)) : vec4(shown, 1.0);
}
