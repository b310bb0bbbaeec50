#version 330 core
layout(location = 0) in vec4 ends_a;  // this end, eye-relative; side -1 or 1 in w
layout(location = 1) in vec4 ends_b;  // the other end; way along -1 or 1 in w
layout(location = 2) in vec4 tint;
layout(location = 3) in vec3 run;     // millimetres along the stroke, half width in px, dash length in mm (0 = solid)
uniform mat4 to_clip;
uniform vec2 half_size_px;
out vec4 v_tint;
out vec2 v_dash;
void main() {
  vec4 a = to_clip * vec4(ends_a.xyz, 1.0);
  vec4 b = to_clip * vec4(ends_b.xyz, 1.0);
  vec2 along = (b.xy / b.w - a.xy / a.w) * half_size_px * ends_b.w;
  float size = max(length(along), 1e-6);
  vec2 aside = vec2(-along.y, along.x) / size * run.y * ends_a.w;
  a.xy += aside / half_size_px * a.w;
  v_tint = tint;
  v_dash = run.xz;
  gl_Position = a;
}
