#version 330 core
// The mean of each pixel's samples, to be added to those of other pictures.
uniform sampler2D light;
out vec4 seen;

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec3 sum = vec3(0.0);
    for (int y = 0; y < SAMPLES; ++y)
        for (int x = 0; x < SAMPLES; ++x)
            sum += texelFetch(light, pixel * SAMPLES + ivec2(x, y), 0).rgb;
    seen = vec4(sum / float(SAMPLES * SAMPLES), 1.0);
}
