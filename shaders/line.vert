// A segment becomes a rectangle, two pixels wider than the line: its edges fade by distance, so that
// it is even at every width and on every driver.
layout(location = 0) in vec3 from;
layout(location = 1) in vec3 to;
layout(location = 2) in vec2 phase;    // pixels along the polyline at both ends
layout(location = 3) in vec4 line_color;
layout(location = 4) in vec3 origin;   // relative to the eye

uniform float width;                   // pixels
uniform float lift;                    // share of the depth by which it comes nearer

flat out vec4 tint;
noperspective out vec2 place;          // pixels along from the start, across from the axis
flat out float span;
noperspective out float dash_at;

vec4 lifted(vec3 p) {
  vec4 q = view * vec4(p, 1.0);
  if (kind.x > 0.5) q.z += lift * viewport.w; else q.xyz *= 1.0 - lift;
  return projection * q;
}

void main() {
  vec3 a3 = origin + from;
  vec3 b3 = origin + to;
  vec4 a = lifted(a3);
  vec4 b = lifted(b3);
  const float near = 1e-4;
  float least = near * viewport.w;
  if (kind.x < 0.5) {
    if (a.w < least && b.w < least) { gl_Position = vec4(2.0, 2.0, 2.0, 1.0); return; }
    if (a.w < least) a = mix(b, a, (b.w - least) / (b.w - a.w));
    if (b.w < least) b = mix(a, b, (a.w - least) / (a.w - b.w));
  }
  vec2 half_view = 0.5 * viewport.xy;
  vec2 pa = a.xy / a.w * half_view;
  vec2 pb = b.xy / b.w * half_view;
  vec2 d = pb - pa;
  span = length(d);
  d = span > 1e-4 ? d / span : vec2(1.0, 0.0);
  vec2 side = vec2(-d.y, d.x);
  float reach = 0.5 * width + 1.0;
  float end = float(gl_VertexID & 1);
  float across = gl_VertexID < 2 ? -1.0 : 1.0;
  vec4 base = end < 0.5 ? a : b;
  vec2 pixel = (end < 0.5 ? pa - d * reach : pb + d * reach) + across * reach * side;
  gl_Position = vec4(pixel / half_view * base.w, base.z, base.w);
  vec3 p = end < 0.5 ? a3 : b3;
  gl_ClipDistance[0] = section.w - dot(section.xyz, p);
  place = vec2(end < 0.5 ? -reach : span + reach, across * reach);
  dash_at = mix(phase.x, phase.y, end);
  tint = line_color;
}
