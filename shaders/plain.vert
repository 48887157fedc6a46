layout(location = 0) in vec3 position; // relative to the eye
layout(location = 1) in vec4 plain_color;
out vec4 tint;
uniform float lift;

void main() {
  tint = plain_color;
  gl_ClipDistance[0] = section.w - dot(section.xyz, position);
  vec4 q = view * vec4(position, 1.0);
  if (kind.x > 0.5) q.z += lift * viewport.w; else q.xyz *= 1.0 - lift;
  gl_Position = projection * q;
}
