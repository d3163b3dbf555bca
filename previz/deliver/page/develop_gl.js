// Light to picture on the graphics card: layers times their gains, summed, through the view's table
// by tetrahedra.

const VERTEX = `#version 300 es
void main() {
  gl_Position = vec4(vec2(gl_VertexID & 1, gl_VertexID >> 1) * 4.0 - 1.0, 0.0, 1.0);
}`;

const fragment = (layers, table) => `#version 300 es
precision highp float;
precision highp int;
precision highp sampler2D;
precision highp sampler2DArray;
uniform sampler2DArray planes;
uniform sampler2D low_bytes;
uniform sampler2D high_bytes;
uniform vec3 gains[${layers}];
uniform ivec2 size;
uniform int stride;
out vec4 picture;

vec3 steps(vec3 low, vec3 high) { return floor(low * 255.0 + 0.5) + 256.0 * floor(high * 255.0 + 0.5); }

vec3 at(ivec3 place) {
  ivec2 tile = ivec2(place.z % ${table.across}, place.z / ${table.across});
  ivec2 pixel = tile * ${table.side} + place.xy;
  return steps(texelFetch(low_bytes, pixel, 0).rgb, texelFetch(high_bytes, pixel, 0).rgb);
}

void main() {
  ivec2 at_most = size - 1;
  int rows = (size.y + stride - 1) / stride;
  ivec2 pixel = min(ivec2(int(gl_FragCoord.x), rows - 1 - int(gl_FragCoord.y)) * stride, at_most);
  vec3 light = vec3(0.0);
  for (int layer = 0; layer < ${layers}; ++layer) {
    vec3 told = steps(texelFetch(planes, ivec3(pixel, 2 * layer), 0).rgb,
                      texelFetch(planes, ivec3(pixel, 2 * layer + 1), 0).rgb);
    light += gains[layer] * (exp2(told / ${SHOWING.steps}.0) - 1.0) * ${exact(SHOWING.toe)};
  }
  vec3 bits = vec3(floatBitsToInt(light + ${exact(table.toe)}) - ${table.first_bits});
  vec3 place = clamp(bits / ${exact(table.step_bits)}, 0.0, ${table.side}.0 - 1.001);
  ivec3 low = ivec3(place);
  vec3 share = place - vec3(low);
  bvec3 over = bvec3(share.x >= share.y, share.y >= share.z, share.x >= share.z);
  ivec3 one = ivec3(over.x && over.z, !over.x && over.y, !over.y && !over.z);
  ivec3 two = ivec3(over.x || over.z, !over.x || over.y, !over.y || !over.z);
  float most = max(share.x, max(share.y, share.z));
  float least = min(share.x, min(share.y, share.z));
  float middle = share.x + share.y + share.z - most - least;
  vec3 colour = at(low) * (1.0 - most) + at(low + one) * (most - middle)
    + at(low + two) * (middle - least) + at(low + 1) * least;
  picture = vec4(colour / ${SHOWING.table_steps}.0, 1.0);
}`;

const exact = (value) => value.toExponential(12);

class CardDeveloper {
  // None where there is no WebGL 2.
  static open(canvas) {
    const gl = canvas.getContext("webgl2", {
      alpha: false, antialias: false, depth: false, preserveDrawingBuffer: true,
    });
    return gl && new CardDeveloper(gl);
  }

  constructor(gl) {
    this.gl = gl;
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
    gl.bindVertexArray(gl.createVertexArray());
  }

  async load(frame, table, layers) {
    const { gl } = this;
    const images = [];
    for (const name of layers) {
      const { low, high } = frame.layers[name];
      images.push(await decoded(low), high ? await decoded(high) : null);
    }
    const bytes = [await decoded(table.low), await decoded(table.high)];
    this.forget();
    this.program = linked(gl, VERTEX, fragment(layers.length, table));
    this.textures = [this.stacked(images, frame), ...bytes.map((image, unit) => this.flat(image, unit + 1))];
    gl.useProgram(this.program);
    for (const [unit, name] of ["planes", "low_bytes", "high_bytes"].entries()) {
      gl.uniform1i(gl.getUniformLocation(this.program, name), unit);
    }
    this.frame = frame;
    gl.uniform2i(gl.getUniformLocation(this.program, "size"), frame.width, frame.height);
    this.gains = gl.getUniformLocation(this.program, "gains");
    this.stride = gl.getUniformLocation(this.program, "stride");
  }

  stacked(images, frame) {
    const { gl } = this;
    const texture = bound(gl, gl.TEXTURE_2D_ARRAY, 0);
    gl.texStorage3D(gl.TEXTURE_2D_ARRAY, 1, gl.RGBA8, frame.width, frame.height, images.length);
    for (const [slice, image] of images.entries()) {
      if (!image) continue;
      gl.texSubImage3D(
        gl.TEXTURE_2D_ARRAY, 0, 0, 0, slice, frame.width, frame.height, 1, gl.RGBA, gl.UNSIGNED_BYTE, image,
      );
    }
    return texture;
  }

  flat(image, unit) {
    const { gl } = this;
    const texture = bound(gl, gl.TEXTURE_2D, unit);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA8, image.width, image.height);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, gl.RGBA, gl.UNSIGNED_BYTE, image);
    return texture;
  }

  forget() {
    for (const texture of this.textures ?? []) this.gl.deleteTexture(texture);
    if (this.program) this.gl.deleteProgram(this.program);
  }

  // Every pixel, or one in `stride` across and down. Ends when it is drawn.
  draw(gains, stride) {
    const { gl } = this;
    fit(gl.canvas, this.frame, stride);
    gl.viewport(0, 0, gl.canvas.width, gl.canvas.height);
    gl.uniform1i(this.stride, stride);
    gl.uniform3fv(this.gains, gains.flat());
    gl.drawArrays(gl.TRIANGLES, 0, 3);
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  }
}

function bound(gl, kind, unit) {
  const texture = gl.createTexture();
  gl.activeTexture(gl.TEXTURE0 + unit);
  gl.bindTexture(kind, texture);
  for (const side of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(kind, side, gl.NEAREST);
  return texture;
}

function linked(gl, ...sources) {
  const program = gl.createProgram();
  for (const [kind, source] of [[gl.VERTEX_SHADER, sources[0]], [gl.FRAGMENT_SHADER, sources[1]]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program));
  return program;
}
