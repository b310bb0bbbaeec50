#version 330 core
out vec2 v_place;
void main() {
  vec2 corner = vec2(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0);
  v_place = corner;
  gl_Position = vec4(corner, 1.0, 1.0);
}
