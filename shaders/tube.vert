// A tube is true to scale, but never thinner than a few pixels.
layout(location = 0) in vec3 center;   // relative to the eye
layout(location = 1) in vec3 outward;
layout(location = 2) in vec4 tube_color;

uniform float radius;                  // mm
uniform float least;                   // pixels, radius
uniform float grow;                    // pixels: for the outline
out vec4 tint;

void main() {
  float depth = kind.x > 0.5 ? 1.0 : -(view * vec4(center, 1.0)).z;
  float px = pixel_mm(depth);
  vec3 p = center + outward * (max(radius, least * px) + grow * px);
  tint = lit(tube_color, outward);
  gl_ClipDistance[0] = section.w - dot(section.xyz, p);
  gl_Position = projection * view * vec4(p, 1.0);
}
