layout(location = 0) in vec3 position; // relative to the eye
layout(location = 1) in vec2 place;    // mm from the middle of the footprint
out vec4 tint;                     // place and half size, mm

uniform vec2 half_size;            // mm

void main() {
  tint = vec4(place, half_size);
  gl_ClipDistance[0] = section.w - dot(section.xyz, position);
  vec4 q = view * vec4(position, 1.0);
  if (kind.x > 0.5) q.z += 2e-4 * viewport.w; else q.xyz *= 1.0 - 2e-4;
  gl_Position = projection * q;
}
