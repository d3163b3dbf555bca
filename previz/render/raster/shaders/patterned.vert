#version 330 core
// A surface whose reflectance is looked up at each pixel.
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 albedo;
layout(location = 2) in vec3 light;
layout(location = 5) in vec2 place;
layout(location = 6) in vec3 second;
uniform mat4 camera;
uniform vec3 scale;
out vec3 of_first;
out vec3 of_second;
out vec3 exposed;
out vec2 at;
invariant gl_Position;  // or `seen.py` would see other triangles

void main() {
    gl_Position = camera * vec4(position, 1.0);
    of_first = albedo;
    of_second = second;
    exposed = light * scale;
    at = place;
}
