#version 330 core
// The mean of each pixel's samples, top row first.
uniform sampler2D light;
out vec4 seen;

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    pixel.y = textureSize(light, 0).y / SAMPLES - 1 - pixel.y;
    vec3 sum = vec3(0.0);
    for (int y = 0; y < SAMPLES; ++y)
        for (int x = 0; x < SAMPLES; ++x)
            sum += texelFetch(light, pixel * SAMPLES + ivec2(x, y), 0).rgb;
    seen = vec4(sum / float(SAMPLES * SAMPLES), 1.0);
}
