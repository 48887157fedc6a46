layout(location = 0) in vec3 position; // relative to the eye
layout(location = 1) in vec2 place;    // mm from the middle of the footprint
out vec2 at;

void main() {
  at = place;
  gl_ClipDistance[0] = 1.0;
  vec4 q = view * vec4(position, 1.0);
  if (tone.w > 0.5) q.z += 1e-4 * viewport.w; else q.xyz *= 1.0 - 1e-4;
  gl_Position = projection * q;
}
