#version 330 core
flat in vec3 v_tint;
flat in float v_half_px;
noperspective in float v_across_px;
noperspective in float v_along;
uniform float fade;
out vec4 colour;
void main() {
  if (v_along >= 0.0 && fract(v_along) > 0.6) discard;
  float cover = clamp(v_half_px + 0.5 - abs(v_across_px), 0.0, 1.0) * min(2.0 * v_half_px, 1.0);
  colour = vec4(v_tint, cover * fade);
}
