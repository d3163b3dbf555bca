#version 330 core
in vec3 radiance;
out vec4 seen;

void main() {
    seen = vec4(radiance, gl_FragCoord.w);  // and one over its depth
}
