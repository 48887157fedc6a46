// Everything that is no line. One fragment stage for all faces, since a software driver compiles code
// for each set of inputs anew in every process.
in vec4 tint;
out vec4 result;

uniform vec4 overlay;   // laid over the colour by its alpha
uniform vec4 cut;       // colour of what a section opens; alpha 0: nothing is cut

void main() {
  result = vec4(mix(tint.rgb, overlay.rgb, overlay.a), tint.a);
  if (cut.a > 0.0 && !gl_FrontFacing) {
    float stripe = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0);
    result = vec4(cut.rgb * (stripe < 1.4 ? 0.78 : 1.0), 1.0);
  }
}
