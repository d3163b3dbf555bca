#version 330 core
// Light that blur discs bring to a pixel: of what is behind the plane in focus, with the softness
// of this pixel, and of what is before it, with how much of what lies behind it hides.
// Places go out along a sunflower's spiral: Vogel, "A better way to construct the sunflower head",
// 1979 (from memory).
uniform sampler2D halves;
uniform sampler2D tiles;
layout(location = 0) out vec4 far;
layout(location = 1) out vec4 before;

const int FEWEST = 12, MOST = 48;
const mat2 GOLDEN = mat2(-0.73736888, 0.67549029, -0.67549029, -0.73736888);  // 137.5 degrees

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy), last = textureSize(halves, 0) - 1;
    vec4 own = texelFetch(halves, pixel, 0);
    float near = texelFetch(tiles, pixel / 8, 0).r;
    float radius = max(abs(own.a), near);
    far = vec4(own.rgb, abs(own.a));
    before = vec4(0.0);
    if (radius < 0.25) return;

    vec4 behind = vec4(own.rgb, 1.0) * (own.a < -0.25 ? 0.001 : 1.0);
    vec2 middle = vec2(pixel) + 0.5, way = vec2(1.0, 0.0);
    // As many as keep them a half-size pixel or so apart, up to a limit.
    int places = clamp(int(4.0 * radius), FEWEST, MOST);
    for (int n = 0; n < places; ++n) {
        float away = radius * sqrt((float(n) + 0.5) / float(places));
        vec2 at = middle + away * way;
        way = GOLDEN * way;
        vec4 one = texelFetch(halves, clamp(ivec2(floor(at)), ivec2(0), last), 0);
        if (one.a < -0.25) {
            float size = max(-one.a, 0.5);
            float covers = clamp(size - away + 0.5, 0.0, 1.0) / (size * size);
            before += vec4(one.rgb, 1.0) * covers;
        } else {
            // What is farther away than this pixel reaches no farther than its own disc.
            float size = one.a > own.a ? min(one.a, abs(own.a)) : one.a;
            behind += vec4(one.rgb, 1.0) * clamp(size - away + 0.5, 0.0, 1.0);
        }
    }
    far.rgb = behind.rgb / behind.a;
    float hides = min(before.a * radius * radius / float(places), 1.0);
    before = before.a > 0.0 ? vec4(before.rgb / before.a, 1.0) * hides : vec4(0.0);
}
