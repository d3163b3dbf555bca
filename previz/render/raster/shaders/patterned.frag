#version 330 core
in vec3 of_first;
in vec3 of_second;
in vec3 exposed;
in vec2 at;
uniform sampler2D figure;  // how much of the first colour and of the second, over `most`
uniform vec2 most;
out vec4 seen;

void main() {
    vec2 share = texture(figure, at).rg * most;
    vec3 albedo = clamp(share.x * of_first + share.y * of_second, 0.01, 0.95);
    seen = vec4(albedo * exposed, gl_FragCoord.w);  // and one over its depth
}
