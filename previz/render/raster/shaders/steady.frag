#version 330 core
// A picture of one sample a pixel, and what was gathered of the pictures before it: brought to where
// it is seen now, held within what is seen around it, so that nothing trails behind, and mixed.
// Karis, "High Quality Temporal Supersampling", 2014 (from memory).
// The fourth channel is how soft it is, as `defocus.py` has it: where sharp and soft meet, sharp.
uniform sampler2D light;   // and one over its depth
uniform sampler2D before;  // what was gathered
uniform mat4 back;         // from a place in this picture to the picture before, in clip space
uniform float near;        // of the lens, metres
uniform float share;       // of this picture in the mix
uniform float reach;
uniform float focus;
uniform float widest;
out vec4 seen;

// Cubic convolution, of whose 16 places five fetches between places give 12: the corners count for
// next to nothing. Keys, "Cubic convolution interpolation for digital image processing", 1981.
vec3 gathered(vec2 at, vec2 size) {
    vec2 middle = floor(at - 0.5) + 0.5, f = at - middle;
    vec2 w0 = f * (-0.5 + f * (1.0 - 0.5 * f)), w3 = f * f * (-0.5 + 0.5 * f);
    vec2 w1 = 1.0 + f * f * (-2.5 + 1.5 * f), w12 = 1.0 - w0 - w3, w2 = w12 - w1;
    vec2 low = (middle - 1.0) / size, high = (middle + 2.0) / size, mid = (middle + w2 / w12) / size;
    vec4 sum = vec4(texture(before, mid).rgb, 1.0) * w12.x * w12.y
        + vec4(texture(before, vec2(low.x, mid.y)).rgb, 1.0) * w0.x * w12.y
        + vec4(texture(before, vec2(high.x, mid.y)).rgb, 1.0) * w3.x * w12.y
        + vec4(texture(before, vec2(mid.x, low.y)).rgb, 1.0) * w12.x * w0.y
        + vec4(texture(before, vec2(mid.x, high.y)).rgb, 1.0) * w12.x * w3.y;
    return sum.rgb / sum.a;
}

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy), last = textureSize(light, 0) - 1;
    vec4 own = texelFetch(light, pixel, 0);
    vec4 beside[4] = vec4[4](
        texelFetch(light, ivec2(max(pixel.x - 1, 0), pixel.y), 0),
        texelFetch(light, ivec2(min(pixel.x + 1, last.x), pixel.y), 0),
        texelFetch(light, ivec2(pixel.x, max(pixel.y - 1, 0)), 0),
        texelFetch(light, ivec2(pixel.x, min(pixel.y + 1, last.y)), 0));
    // A pinhole, where a triangle is missing: what is beside it goes on.
    for (int n = 0; n < 4 && own == vec4(0.0); ++n) own = beside[n];
    vec3 least = own.rgb, most = own.rgb;
    float softness = reach * (1.0 - focus * own.a), nearest = own.a;
    for (int n = 0; n < 4; ++n) {
        vec4 one = beside[n] == vec4(0.0) ? own : beside[n];
        least = min(least, one.rgb);
        most = max(most, one.rgb);
        nearest = max(nearest, one.a);  // an edge moves with what is before it
        float soft = reach * (1.0 - focus * one.a);
        softness = abs(soft) < abs(softness) ? soft : softness;
    }
    vec3 mixed = own.rgb;
    vec2 size = vec2(last + 1);
    vec4 place = back * vec4(gl_FragCoord.xy / size * 2.0 - 1.0, near * nearest, 1.0);
    vec2 at = (place.xy / place.w * 0.5 + 0.5) * size;
    if (place.w > 0.0 && all(greaterThan(at, vec2(0.0))) && all(lessThan(at, size)))
        mixed = mix(clamp(gathered(at, size), least, most), own.rgb, share);
    seen = vec4(mixed, clamp(softness, -widest, widest));
}
