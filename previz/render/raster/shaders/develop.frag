#version 330 core
// Light to picture: the mean of a pixel's samples, through the table of the view, by tetrahedra.
// Row 0 is the top one, as files and screens want it.
uniform sampler2D light;
uniform sampler3D table;
uniform float toe;
uniform int first_bits;
uniform float places_a_bit;
out vec4 picture;

vec3 mean(ivec2 pixel) {
    vec3 sum = vec3(0.0);
    for (int y = 0; y < SAMPLES; ++y)
        for (int x = 0; x < SAMPLES; ++x)
            sum += texelFetch(light, pixel * SAMPLES + ivec2(x, y), 0).rgb;
    return sum / float(SAMPLES * SAMPLES);
}

void main() {
    int height = textureSize(light, 0).y / SAMPLES;
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec3 bits = vec3(floatBitsToInt(mean(ivec2(pixel.x, height - 1 - pixel.y)) + toe) - first_bits);
    vec3 place = clamp(bits * places_a_bit, 0.0, float(textureSize(table, 0).x) - 1.001);
    ivec3 low = ivec3(place);
    vec3 share = place - vec3(low);
    bvec3 over = bvec3(share.x >= share.y, share.y >= share.z, share.x >= share.z);
    ivec3 one = ivec3(over.x && over.z, !over.x && over.y, !over.y && !over.z);
    ivec3 two = ivec3(over.x || over.z, !over.x || over.y, !over.y || !over.z);
    float most = max(share.x, max(share.y, share.z));
    float least = min(share.x, min(share.y, share.z));
    float middle = share.x + share.y + share.z - most - least;
    vec3 colour = texelFetch(table, low, 0).rgb * (1.0 - most)
        + texelFetch(table, low + one, 0).rgb * (most - middle)
        + texelFetch(table, low + two, 0).rgb * (middle - least)
        + texelFetch(table, low + 1, 0).rgb * least;
    picture = vec4(colour, 1.0);
}
