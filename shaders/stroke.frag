#version 330 core
in vec4 v_tint;
in vec2 v_dash;
uniform float fade;
out vec4 colour;
void main() {
  if (v_dash.y > 0.0 && fract(v_dash.x / v_dash.y) > 0.6) discard;
  colour = vec4(v_tint.rgb, v_tint.a * fade);
}
