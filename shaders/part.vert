#version 330 core
layout(location = 0) in vec3 position;
layout(location = 2) in vec4 row0;
layout(location = 3) in vec4 row1;
layout(location = 4) in vec4 row2;
layout(location = 8) in uint part;
uniform mat4 to_clip;
flat out uint v_part;
void main() {
  vec4 p = vec4(position, 1.0);
  v_part = part + 1u;
  gl_Position = to_clip * vec4(dot(row0, p), dot(row1, p), dot(row2, p), 1.0);
}
