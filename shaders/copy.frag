// A picture laid over a rectangle of the framebuffer.
uniform sampler2D picture;
uniform vec4 place;     // corner and size of the rectangle, pixels
out vec4 result;

void main() { result = texture(picture, (gl_FragCoord.xy - place.xy) / place.zw); }
