flat in vec4 tint;
noperspective in vec2 place;
flat in float span;
noperspective in float dash_at;
out vec4 result;

uniform float width;
uniform float dash;                    // pixels; 0: solid

void main() {
  vec2 d = vec2(place.x - clamp(place.x, 0.0, span), place.y);
  float alpha = clamp(0.5 * width + 0.5 - length(d), 0.0, 1.0) * min(width, 1.0);
  if (dash > 0.0) {
    float t = abs(mod(dash_at, 2.0 * dash) - dash) - 0.5 * dash;
    alpha *= clamp(0.5 - t, 0.0, 1.0);
  }
  if (alpha <= 0.004) discard;
  result = vec4(tint.rgb, tint.a * alpha);
}
