// One triangle over the whole picture.
out vec4 tint;
uniform vec4 top;
uniform vec4 bottom;

void main() {
  vec2 p = vec2(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0);
  tint = mix(bottom, top, 0.5 * p.y + 0.5);
  gl_ClipDistance[0] = 1.0;
  gl_Position = vec4(p, 0.0, 1.0);
}
