#version 330 core
in vec3 v_position;
in vec3 v_normal;
in vec3 v_shadow;
flat in uint v_material;
uniform vec4 material_colour[16];  // linear base colour, shine in a
uniform vec3 key_direction;        // toward the key light
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform vec3 key_colour;
uniform float ghost;               // 0 solid, else opacity of a ghost facing the eye
uniform float shadow_strength;
uniform sampler2DShadow shadow_map;
out vec4 colour;

void main() {
  vec3 n = normalize(v_normal);
  vec3 to_eye = normalize(-v_position);
  if (dot(n, to_eye) < 0.0) n = -n;
  vec4 base = material_colour[v_material];
  float up = 0.5 + 0.5 * n.y;
  vec3 ambient = mix(ground_colour, sky_colour, up);
  float facing = max(dot(n, key_direction), 0.0);
  float lit = 1.0;
  if (shadow_strength > 0.0) lit = mix(1.0, texture(shadow_map, v_shadow), shadow_strength);
  vec3 shade = base.rgb * (ambient + key_colour * facing * lit);
  // Machined steel: a soft band of sky in the reflection, and a narrow glint of the key light.
  vec3 r = reflect(-to_eye, n);
  float band = smoothstep(-0.15, 0.55, r.y) * (1.0 - smoothstep(0.55, 1.0, r.y));
  float toward = max(dot(r, key_direction), 0.0);
  float squared = toward * toward;
  float fourth = squared * squared;
  float eighth = fourth * fourth;
  float glint = eighth * eighth * eighth * lit;
  float aside = 1.0 - max(dot(n, to_eye), 0.0);
  float rim = aside * aside * aside;
  shade += base.a * (0.10 * band * sky_colour + 0.35 * glint * key_colour) + 0.10 * rim * sky_colour * base.a;
  vec3 shown = sqrt(clamp(shade, 0.0, 1.0)); // near enough to the display's curve, and quick in software
  colour = ghost > 0.0 ? vec4(shown, clamp(ghost + 0.55 * rim, 0.0, 1.0)) : vec4(shown, 1.0);
}
