out uvec2 result;
uniform uint id;
void main() { result = uvec2(id, 1u); }
