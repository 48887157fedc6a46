// Shared by every stage that places something: the eye is the origin, the section cuts beyond its plane.
layout(std140) uniform Frame {
  mat4 view;          // turn only
  mat4 projection;
  vec4 section;       // xyz normal, w: dot(normal, p) above this is cut away (p relative to the eye)
  vec4 viewport;      // width, height in pixels; mm per pixel at one mm of depth (straight: at all); distance
  vec4 kind;          // x: 1 for a straight view
};

float pixel_mm(float depth) { return kind.x > 0.5 ? viewport.z : viewport.z * max(depth, 1e-3); }
