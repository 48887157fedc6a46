// The mean of a pixel's samples. Our own, since a driver's way to do it may be a shader that a software
// driver compiles anew in every process: a tenth of the time to the first picture.
uniform sampler2DMS picture;
uniform float samples;
out vec4 result;

void main() {
  ivec2 at = ivec2(gl_FragCoord.xy);
  vec4 sum = vec4(0.0);
  for (int i = 0; i < int(samples); ++i) sum += texelFetch(picture, at, i);
  result = sum / samples;
}
