#version 330 core
in vec2 v_place;
uniform vec3 middle;
uniform vec3 edge;
out vec4 colour;
void main() {
  float away = clamp(length(v_place * vec2(0.8, 0.75)), 0.0, 1.0);
  // Half a step of noise keeps the slow gradient from showing bands.
  float noise = fract(52.9829 * fract(dot(gl_FragCoord.xy, vec2(0.06711, 0.00584)))) / 255.0;
  colour = vec4(mix(middle, edge, away * away) + noise - 0.5 / 255.0, 1.0);
}
