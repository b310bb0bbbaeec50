#version 330 core
layout(location = 0) in vec3 here;   // this end of the segment, relative to the eye
layout(location = 1) in vec3 there;  // the other end
layout(location = 2) in vec3 tint;
layout(location = 3) in vec4 run;    // side, way along (-1 at the far end), half width in px, dashes along (negative = solid)
uniform mat4 to_clip;
uniform vec2 half_size_px;
flat out vec3 v_tint;
flat out float v_half_px;
noperspective out float v_across_px;
noperspective out float v_along;
void main() {
  // A soft edge of half a pixel on either side.
  float reach_px = run.z + 0.5;
  vec4 a = to_clip * vec4(here, 1.0);
  vec4 b = to_clip * vec4(there, 1.0);
  vec2 along = (b.xy / b.w - a.xy / a.w) * half_size_px * run.y;
  float size = max(length(along), 1e-6);
  vec2 aside = vec2(-along.y, along.x) / size * reach_px * run.x;
  a.xy += aside / half_size_px * a.w;
  v_tint = tint;
  v_half_px = run.z;
  v_across_px = reach_px * run.x;
  v_along = run.w;
  gl_Position = a;
}
