#version 330 core
// What is there, not how bright it is.
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 albedo;
layout(location = 3) in vec3 normal;
layout(location = 4) in uint thing;
layout(location = 5) in vec2 place;
layout(location = 6) in vec3 second;
uniform mat4 camera;
out vec3 of_first;
out vec3 of_second;
out vec3 facing;
out vec2 at;
out float distance_m;
flat out uint number;

void main() {
    gl_Position = camera * vec4(position, 1.0);
    distance_m = gl_Position.w;
    of_first = albedo;
    of_second = second;
    facing = normal;
    at = place;
    number = thing;
}
