#version 330 core
in vec2 v_place;
uniform vec3 middle;
uniform vec3 edge;
out vec4 colour;
void main() {
  float away = min(dot(v_place, v_place) * 0.6, 1.0);
  // Half a step of noise keeps the slow gradient from showing bands (interleaved gradient noise: Jimenez, 2014).
  float noise = fract(52.9829189 * fract(dot(gl_FragCoord.xy, vec2(0.06711056, 0.00583715)))) / 255.0;
  colour = vec4(mix(middle, edge, away) + noise - 0.5 / 255.0, 1.0);
}
