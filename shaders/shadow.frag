// Shadow of a box under an even sky, blurred by its height: a box filtered by a Gaussian is a
// product of error functions.
in vec4 tint;          // place and half size, mm
out vec4 result;

uniform vec4 soft;     // blur in mm (standard deviation), strength, darkest level

vec2 error_function(vec2 x) {          // Abramowitz and Stegun 7.1.27, to 5e-4
  vec2 s = sign(x);
  vec2 a = abs(x);
  vec2 r = 1.0 + (0.278393 + (0.230389 + (0.000972 + 0.078108 * a) * a) * a) * a;
  r *= r;
  return s - s / (r * r);
}

void main() {
  float k = 0.70710678 / soft.x;
  vec2 shade = 0.5 * (error_function((tint.xy + tint.zw) * k) - error_function((tint.xy - tint.zw) * k));
  result = vec4(vec3(soft.z), soft.y * shade.x * shade.y);
}
