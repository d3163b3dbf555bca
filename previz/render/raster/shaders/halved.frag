#version 330 core
// Half as wide and high, soft pixels before sharp ones, whose light is not to be smeared. The
// fourth channel is the softness in pixels of this size.
uniform sampler2D light;
out vec4 halves;

void main() {
    ivec2 pixel = 2 * ivec2(gl_FragCoord.xy);
    ivec2 last = textureSize(light, 0) - 1;
    vec4 sum = vec4(0.0);
    float weights = 0.0;
    for (int y = 0; y < 2; ++y)
        for (int x = 0; x < 2; ++x) {
            vec4 one = texelFetch(light, min(pixel + ivec2(x, y), last), 0);
            float weight = abs(one.a) + 0.001;
            sum += one * weight;
            weights += weight;
        }
    halves = sum / weights * vec4(1.0, 1.0, 1.0, 0.5);
}
