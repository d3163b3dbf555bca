#version 330 core
// What is sharp at its full size, and over it what is blurred at half of it.
uniform sampler2D light;
uniform sampler2D far;
uniform sampler2D before;
out vec4 seen;

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec4 own = texelFetch(light, pixel, 0);
    vec2 at = (vec2(pixel) + 0.5) * 0.5 - 0.5;
    ivec2 low = ivec2(floor(at)), last = textureSize(far, 0) - 1;
    vec2 share = at - vec2(low);
    vec4 front = vec4(0.0), soft = vec4(0.0);
    float softened = smoothstep(0.4, 1.4, abs(own.a));
    for (int y = 0; y < 2; ++y)
        for (int x = 0; x < 2; ++x) {
            ivec2 place = clamp(low + ivec2(x, y), ivec2(0), last);
            vec2 part = mix(1.0 - share, share, vec2(x, y));
            front += texelFetch(before, place, 0) * part.x * part.y;
            if (softened == 0.0) continue;
            vec4 one = texelFetch(far, place, 0);
            // Of neighbours that are sharp nothing is taken where this is soft.
            soft += vec4(one.rgb, 1.0) * part.x * part.y * (min(one.a, 4.0) + 0.001);
        }
    vec3 behind = softened > 0.0 ? mix(own.rgb, soft.rgb / soft.a, softened) : own.rgb;
    seen = vec4(behind * (1.0 - front.a) + front.rgb, 0.0);
}
