in float height;
out vec4 result;
uniform vec4 top;
uniform vec4 bottom;
void main() {
  result = vec4(mix(bottom.rgb, top.rgb, smoothstep(0.0, 1.0, height)), 1.0);
}
