#version 330 core
// A thin sheet in the dark: Fresnel's laws for n = 1.5, with all reflections between its faces.
in vec3 from_lens;
in vec3 facing;
out vec4 seen;

void main() {
    float c = abs(dot(normalize(from_lens), normalize(facing)));
    float t = sqrt(1.0 - (1.0 - c * c) / 2.25);
    float s = (c - 1.5 * t) / (c + 1.5 * t);
    float p = (1.5 * c - t) / (1.5 * c + t);
    float r = 0.5 * (s * s + p * p);
    seen = vec4(vec3((1.0 - r) / (1.0 + r)), 1.0);
}
