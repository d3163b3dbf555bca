#version 330 core
// A plain surface: its radiance at each vertex, already with the exposure.
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 albedo;
layout(location = 2) in vec3 light;
uniform mat4 camera;
uniform vec3 scale;
out vec3 radiance;
invariant gl_Position;  // or `seen.py` would see other triangles

void main() {
    gl_Position = camera * vec4(position, 1.0);
    radiance = albedo * light * scale;
}
