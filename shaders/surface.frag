#version 330 core
in vec3 v_shadow;
#ifdef VERTEX_LIT
in vec3 v_steady;
in vec3 v_keyed;
#else
in vec3 v_to_eye;                   // of unit length at the corners, and nearly so between
in vec3 v_normal;
in vec3 v_turned;
flat in vec4 v_base;
flat in vec4 v_finish;
#endif
#ifdef GHOST
uniform float ghost;                // opacity where it faces the eye
#else
uniform float shadow_strength;
uniform sampler2DShadow shadow_map;
#endif
out vec4 colour;

#ifdef SOFT_SHADOW
uniform float soft_mm;              // how far a soft edge reaches
uniform vec3 shadow_right;          // axes of the map in the world
uniform vec3 shadow_up;
uniform vec3 shadow_per_mm;         // the map's extent is 1

// Points evenly over a disc: the golden angle's spiral.
const vec2 disc[8] = vec2[](vec2(0.250, 0.000), vec2(-0.319, 0.292), vec2(0.049, -0.557), vec2(0.402, 0.525),
    vec2(-0.739, -0.131), vec2(0.700, -0.445), vec2(-0.234, 0.870), vec2(-0.446, -0.859));

float lit_by_key(vec3 n) {
  // Looking aside of the point means looking at other depths of the face it is in; `slope` says by how much.
  vec2 slope = vec2(dot(n, shadow_right), dot(n, shadow_up)) / max(dot(n, key_direction), 0.2);
  float lit = 0.0;
  for (int i = 0; i < 8; ++i) {
    vec2 aside_mm = disc[i] * soft_mm;
    lit += texture(shadow_map, v_shadow + vec3(aside_mm, dot(slope, aside_mm)) * shadow_per_mm);
  }
  return 1.0 - shadow_strength + shadow_strength * lit / 8.0;
}
#endif

void main() {
#ifdef VERTEX_LIT
  float lit = 1.0 - shadow_strength + shadow_strength * texture(shadow_map, v_shadow);
  colour = vec4(sqrt(clamp(v_steady + v_keyed * lit, 0.0, 1.0)), 1.0);
#else
  vec3 n = normalize(v_normal);
  Light light = light_from(n, v_to_eye, v_turned, v_base, v_finish);
#if defined(GHOST)
  float lit = 1.0;
#elif defined(SOFT_SHADOW)
  float lit = lit_by_key(n);
#else
  float lit = 1.0 - shadow_strength + shadow_strength * texture(shadow_map, v_shadow);
#endif
  vec3 shade = light.steady + light.keyed * lit;
  shade = mix(shade, ring_colour, step(v_finish.z * v_finish.z, dot(v_turned, v_turned)) * step(1e-3, v_finish.z));
#ifdef GHOST
  colour = vec4(sqrt(clamp(shade, 0.0, 1.0)), clamp(ghost + 0.6 * light.rim, 0.0, 1.0));
#else
  colour = vec4(sqrt(clamp(shade, 0.0, 1.0)), 1.0);
#endif
#endif
}
