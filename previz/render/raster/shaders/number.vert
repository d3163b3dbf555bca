#version 330 core
// Where a triangle lies, and nothing else.
layout(location = 0) in vec3 position;
uniform mat4 camera;
invariant gl_Position;

void main() {
    gl_Position = camera * vec4(position, 1.0);
}
