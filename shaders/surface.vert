#version 330 core
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec4 row0;    // rows of the placement, relative to the eye
layout(location = 3) in vec4 row1;
layout(location = 4) in vec4 row2;
layout(location = 5) in float round_mm;
layout(location = 6) in vec4 colour;  // as shown; shine in a
layout(location = 7) in vec4 finish;
uniform mat4 to_clip;      // eye-relative world to clip
uniform mat4 to_shadow;    // eye-relative world to the shadow map
uniform vec4 look_back;    // against the look; 1 in w when all is seen along it, 0 when from a point
out vec3 v_shadow;
#ifdef VERTEX_LIT
out vec3 v_steady;
out vec3 v_keyed;
#else
out vec3 v_to_eye;
out vec3 v_normal;
out vec3 v_turned;         // across the mesh's z axis, as long as the distance from it is to the mesh's own reach
flat out vec4 v_base;
flat out vec4 v_finish;
#endif
void main() {
  vec4 p = vec4(position, 1.0);
  vec3 place = vec3(dot(row0, p), dot(row1, p), dot(row2, p));
  vec3 n = vec3(dot(row0.xyz, normal), dot(row1.xyz, normal), dot(row2.xyz, normal));
  vec3 to_eye = mix(normalize(-place), look_back.xyz, look_back.w);
  vec4 base = vec4(colour.rgb * colour.rgb, colour.a);
#ifdef VERTEX_LIT
  Light light = light_from(n, to_eye, vec3(0.0), base, finish);
  v_steady = light.steady;
  v_keyed = light.keyed;
#else
  vec3 across = vec3(-position.y, position.x, 0.0) / max(round_mm, 1e-3);
  v_turned = vec3(dot(row0.xyz, across), dot(row1.xyz, across), dot(row2.xyz, across));
  v_to_eye = to_eye;
  v_normal = n;
  v_base = base;
  v_finish = finish;
#endif
  v_shadow = (to_shadow * vec4(place, 1.0)).xyz;
  gl_Position = to_clip * vec4(place, 1.0);
}
