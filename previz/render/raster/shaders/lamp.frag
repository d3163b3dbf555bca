#version 330 core
// Its luminance towards the lens: by the beam, or what is seen through a window.
in vec3 from_lens;
in vec3 facing;
uniform vec3 power;       // with the exposure
uniform int window;
uniform int azimuths;     // rows of the beam; 0: matt
uniform vec3 zero;        // towards azimuth 0 and 90 degrees
uniform vec3 quarter;
uniform sampler2D beam;
uniform sampler2D panorama;
uniform float brightest;  // of the panorama, whose texels are shares of it
uniform vec3 sun;         // towards it
uniform float sun_radius; // its sine; 0: none
uniform vec3 sun_light;   // luminance of its disc
uniform float limit;
out vec4 seen;

const float TURN = 6.28318530718;

float along(int row, float cosine) {
    int last = textureSize(beam, 0).x - 1;
    float step = sqrt(1.0 - clamp(cosine, 0.0, 1.0)) * float(last);
    int low = min(int(step), last - 1);
    float below = texelFetch(beam, ivec2(low, row), 0).r;
    return mix(below, texelFetch(beam, ivec2(low + 1, row), 0).r, step - float(low));
}

float beamed(vec3 leaving, float cosine) {
    if (azimuths == 0) return 1.0;
    float turn = atan(dot(leaving, quarter), dot(leaving, zero)) / TURN;
    float at = (turn < 0.0 ? turn + 1.0 : turn) * float(azimuths);
    int low = min(int(at), azimuths - 1);
    int high = low + 1 < azimuths ? low + 1 : 0;
    return mix(along(low, cosine), along(high, cosine), at - float(low));
}

vec3 outside(vec3 direction) {
    float around = atan(direction.x, -direction.y) / TURN;
    around = around < 0.0 ? around + 1.0 : around;
    float width = float(textureSize(panorama, 0).x);  // the first column again at the end
    float column = (around * (width - 1.0) + 0.5) / width;
    float down = acos(clamp(direction.z, -1.0, 1.0)) * 2.0 / TURN;
    vec3 light = textureLod(panorama, vec2(column, down), 0.0).rgb * brightest;
    if (dot(direction, sun) > 0.0 && length(cross(direction, sun)) < sun_radius)
        light += sun_light;
    return light;
}

void main() {
    vec3 direction = normalize(from_lens);
    float cosine = -dot(direction, normalize(facing));
    vec3 light = vec3(0.0);
    if (cosine > 0.0 && gl_FrontFacing)
        light = power * (window != 0 ? outside(direction) : vec3(beamed(-direction, cosine)));
    // And one over its depth; what is seen through a window lies at no end.
    seen = vec4(min(light, limit), window != 0 ? 0.0 : gl_FragCoord.w);
}
