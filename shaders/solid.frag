in vec3 world_normal;
out vec4 result;

uniform vec4 color;
uniform float even;     // 1: no shading at all, as walls have it
uniform vec4 cut;       // colour of what a section opens; alpha 0: nothing is cut

// Half of the light comes from above, so that level faces read as level from every side; the rest
// goes with the camera, so that no view is dull.
void main() {
  if (cut.a > 0.0 && !gl_FrontFacing) {
    float stripe = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0);
    result = vec4(cut.rgb * (stripe < 1.4 ? 0.78 : 1.0), 1.0);
    return;
  }
  vec3 n = normalize(gl_FrontFacing ? world_normal : -world_normal);
  vec3 seen = mat3(view) * n;
  float sky = 0.5 + 0.5 * n.z;
  float key = max(dot(seen, normalize(vec3(-0.35, 0.50, 0.79))), 0.0);
  float light = mix(tone.x, tone.y, sky) + tone.z * key;
  vec3 lit = color.rgb * mix(light, 1.0, even);
  lit += (1.0 - even) * 0.06 * pow(key, 24.0);
  result = vec4(min(lit, vec3(1.0)), color.a);
}
