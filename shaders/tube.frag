in vec3 world_normal;
in vec4 tint;
out vec4 result;

uniform vec4 outline;                  // alpha 1: this colour instead

void main() {
  if (outline.a > 0.0) { result = vec4(outline.rgb, 1.0); return; }
  vec3 n = normalize(world_normal);
  vec3 seen = mat3(view) * n;
  float key = max(dot(seen, normalize(vec3(-0.35, 0.50, 0.79))), 0.0);
  // Colour carries a number here, so it is shaded less than a part.
  result = vec4(tint.rgb * (0.72 + 0.10 * n.z + 0.22 * key), 1.0);
}
