// Shared by every stage that places something: the eye is the origin, the section cuts beyond its plane.
layout(std140) uniform Frame {
  mat4 view;          // turn only
  mat4 projection;
  vec4 section;       // xyz normal, w: dot(normal, p) above this is cut away (p relative to the eye)
  vec4 viewport;      // width, height in pixels; mm per pixel at one mm of depth (straight: at all); distance
  vec4 kind;          // x: 1 for a straight view
};

float pixel_mm(float depth) { return kind.x > 0.5 ? viewport.z : viewport.z * max(depth, 1e-3); }

uniform vec4 shade;     // light from below, from above, key light, highlight; 1 1 0 0: none of it

// Half of the light comes from above, so that level faces read as level from every side; the rest
// goes with the camera, so that no view is dull. Worked out at vertices: the fragments of small
// triangles are what costs a software driver.
vec4 lit(vec4 color, vec3 normal) {
  vec3 n = normalize(normal);
  float key = max(dot(mat3(view) * n, normalize(vec3(-0.35, 0.50, 0.79))), 0.0);
  float light = mix(shade.x, shade.y, 0.5 + 0.5 * n.z) + shade.z * key;
  return vec4(min(color.rgb * light + shade.w * pow(key, 24.0), vec3(1.0)), color.a);
}
