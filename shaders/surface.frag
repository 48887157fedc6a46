// Everything that is no line. One fragment stage for all faces, since a software driver compiles code
// for each set of inputs anew in every process.
in vec3 world_normal;
in vec4 tint;
out vec4 result;

uniform vec4 shade;     // light from below, from above, key light, highlight; 1 1 0 0: none of it
uniform vec4 overlay;   // laid over the colour by its alpha
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
  float key = max(dot(mat3(view) * n, normalize(vec3(-0.35, 0.50, 0.79))), 0.0);
  float light = mix(shade.x, shade.y, 0.5 + 0.5 * n.z) + shade.z * key;
  vec3 lit = mix(tint.rgb, overlay.rgb, overlay.a) * light + shade.w * pow(key, 24.0);
  result = vec4(min(lit, vec3(1.0)), tint.a);
}
