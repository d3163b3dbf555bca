#version 330 core
in vec3 of_first;
in vec3 of_second;
in vec3 facing;
in vec2 at;
in float distance_m;
flat in uint number;
uniform int patterned;
uniform sampler2D figure;
uniform vec2 most;
layout(location = 0) out vec4 albedo_and_thing;
layout(location = 1) out vec4 normal_and_depth;

void main() {
    vec3 albedo = of_first;
    if (patterned != 0) {
        vec2 share = texture(figure, at).rg * most;
        albedo = clamp(share.x * of_first + share.y * of_second, 0.01, 0.95);
    }
    albedo_and_thing = vec4(albedo, float(number));
    normal_and_depth = vec4(normalize(facing), distance_m);
}
