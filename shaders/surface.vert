#version 330 core
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec4 row0;    // rows of the placement, relative to the eye
layout(location = 3) in vec4 row1;
layout(location = 4) in vec4 row2;
layout(location = 5) in float round_mm;
layout(location = 6) in vec4 colour;  // as shown; shine in a
layout(location = 7) in vec4 finish;  // as the material's
uniform mat4 to_clip;      // eye-relative world to clip
uniform mat4 to_shadow;    // eye-relative world to the shadow map
out vec3 v_position;
out vec3 v_normal;
out vec3 v_shadow;
out vec3 v_turned;         // along the turning tool: across the mesh's z axis, as long as the distance from it over the mesh's own
flat out vec4 v_base;
flat out vec4 v_finish;
void main() {
  vec4 p = vec4(position, 1.0);
  v_position = vec3(dot(row0, p), dot(row1, p), dot(row2, p));
  v_normal = vec3(dot(row0.xyz, normal), dot(row1.xyz, normal), dot(row2.xyz, normal));
  vec3 across = vec3(-position.y, position.x, 0.0) / max(round_mm, 1e-3);
  v_turned = vec3(dot(row0.xyz, across), dot(row1.xyz, across), dot(row2.xyz, across));
  v_shadow = (to_shadow * vec4(v_position, 1.0)).xyz;
  v_base = vec4(colour.rgb * colour.rgb, colour.a);
  v_finish = finish;
  gl_Position = to_clip * vec4(v_position, 1.0);
}
