// Shadow of a box under an even sky, blurred by its height: a box filtered by a Gaussian is a
// product of error functions.
in vec2 at;
out vec4 result;

uniform vec2 half_size;                // mm
uniform float blur;                    // mm, standard deviation
uniform vec4 color;                    // alpha: strength

vec2 error_function(vec2 x) {          // Abramowitz and Stegun 7.1.27, to 5e-4
  vec2 s = sign(x);
  vec2 a = abs(x);
  vec2 r = 1.0 + (0.278393 + (0.230389 + (0.000972 + 0.078108 * a) * a) * a) * a;
  r *= r;
  return s - s / (r * r);
}

void main() {
  float k = 0.70710678 / blur;
  vec2 shade = 0.5 * (error_function((at + half_size) * k) - error_function((at - half_size) * k));
  result = vec4(color.rgb, color.a * shade.x * shade.y);
}
