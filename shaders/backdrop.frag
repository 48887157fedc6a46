in float height;
out vec4 result;
uniform vec4 top;
uniform vec4 bottom;
void main() {
  // A triangular dither of one level keeps the long gradient free of bands.
  float noise = fract(sin(dot(floor(gl_FragCoord.xy), vec2(12.9898, 78.233))) * 43758.5453);
  result = vec4(mix(bottom.rgb, top.rgb, smoothstep(0.0, 1.0, height)) + (noise - 0.5) / 255.0, 1.0);
}
