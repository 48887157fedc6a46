layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec3 origin;   // of this copy, relative to the eye
layout(location = 3) in vec3 axis_x;
layout(location = 4) in vec3 axis_z;
layout(location = 5) in vec4 color;

out vec4 tint;

void main() {
  mat3 turn = mat3(axis_x, cross(axis_z, axis_x), axis_z);
  vec3 p = origin + turn * position;
  tint = lit(color, turn * normal);
  gl_ClipDistance[0] = section.w - dot(section.xyz, p);
  gl_Position = projection * view * vec4(p, 1.0);
}
