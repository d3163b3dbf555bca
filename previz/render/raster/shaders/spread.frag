#version 330 core
// The greatest of a tile and its neighbours: as far as the widest blur disc reaches.
uniform sampler2D tiles;
out vec4 most;

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy), last = textureSize(tiles, 0) - 1;
    float found = 0.0;
    for (int y = -3; y <= 3; ++y)
        for (int x = -3; x <= 3; ++x)
            found = max(found, texelFetch(tiles, clamp(pixel + ivec2(x, y), ivec2(0), last), 0).r);
    most = vec4(found);
}
