#version 330 core
// The mean of each pixel's samples, times `share`. The fourth channel is how soft it is, as
// `defocus.py` has it: where sharp and soft meet in a pixel it is sharp.
uniform sampler2D light;
uniform float share;
uniform float reach;
uniform float focus;
uniform float widest;
out vec4 seen;

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec3 sum = vec3(0.0);
    float softness = 1e9;
    for (int y = 0; y < SAMPLES; ++y)
        for (int x = 0; x < SAMPLES; ++x) {
            vec4 one = texelFetch(light, pixel * SAMPLES + ivec2(x, y), 0);
            sum += one.rgb;
            float soft = reach * (1.0 - focus * one.a);  // one over the depth
            softness = abs(soft) < abs(softness) ? soft : softness;
        }
    seen = vec4(sum / float(SAMPLES * SAMPLES), clamp(softness, -widest, widest)) * share;
}
