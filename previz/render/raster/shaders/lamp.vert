#version 330 core
// The glowing face of a light.
layout(location = 0) in vec3 position;
layout(location = 3) in vec3 normal;
uniform mat4 camera;
uniform vec3 lens;
out vec3 from_lens;
out vec3 facing;

void main() {
    gl_Position = camera * vec4(position, 1.0);
    from_lens = position - lens;
    facing = normal;
}
