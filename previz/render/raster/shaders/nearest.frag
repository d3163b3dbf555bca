#version 330 core
// The greatest softness of what lies before the plane in focus, over 8 x 8 pixels.
uniform sampler2D halves;
out vec4 most;

void main() {
    ivec2 first = 8 * ivec2(gl_FragCoord.xy), last = textureSize(halves, 0) - 1;
    float found = 0.0;
    for (int y = 0; y < 8; ++y)
        for (int x = 0; x < 8; ++x)
            found = max(found, -texelFetch(halves, min(first + ivec2(x, y), last), 0).a);
    most = vec4(found);
}
