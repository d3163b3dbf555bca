// The same without a graphics card: slower, and the same picture.

class FlatDeveloper {
  static open(canvas) {
    return new FlatDeveloper(canvas.getContext("2d"));
  }

  constructor(pen) {
    this.pen = pen;
    this.linear = new Float32Array(65536);
    for (let step = 0; step < 65536; step += 1) {
      this.linear[step] = (2 ** (step / SHOWING.steps) - 1) * SHOWING.toe;
    }
  }

  async load(frame, table, layers) {
    this.frame = frame;
    this.table = table;
    this.layers = [];
    for (const name of layers) {
      this.layers.push(await wholeNumbers(frame.layers[name], frame.width, frame.height));
    }
    const across = table.across * table.side;
    const down = Math.ceil(table.side / table.across) * table.side;
    this.values = await wholeNumbers(table, across, down);
    this.across = across;
  }

  draw(gains, stride) {
    const { canvas } = this.pen;
    fit(canvas, this.frame, stride);
    const picture = this.pen.createImageData(canvas.width, canvas.height);
    const light = new Float32Array(3);
    const bits = new Int32Array(light.buffer);
    const colour = [0, 0, 0];
    let to = 0;
    for (let y = 0; y < this.frame.height; y += stride) {
      for (let x = 0; x < this.frame.width; x += stride) {
        this.lightAt(y * this.frame.width + x, gains, light);
        this.develop(bits, colour);
        for (const part of colour) {
          picture.data[to++] = Math.floor((part / SHOWING.table_steps) * 255 + 0.5);
        }
        picture.data[to++] = 255;
      }
    }
    this.pen.putImageData(picture, 0, 0);
  }

  lightAt(pixel, gains, light) {
    for (let c = 0; c < 3; c += 1) {
      let sum = 0;
      for (let n = 0; n < gains.length; n += 1) sum += gains[n][c] * this.linear[this.layers[n][3 * pixel + c]];
      light[c] = sum + this.table.toe;
    }
  }

  // From the corner at `low` on along the axes, that with the greatest share first.
  develop(bits, colour) {
    const { side, first_bits: first, step_bits: step } = this.table;
    const place = [0, 1, 2].map((c) => Math.min(Math.max((bits[c] - first) / step, 0), side - 1.001));
    const at = place.map(Math.floor);
    const share = place.map((value, c) => value - at[c]);
    const axes = [0, 1, 2].sort((a, b) => share[b] - share[a]);
    colour.fill(0);
    this.add(colour, at, 1 - share[axes[0]]);
    for (let turn = 0; turn < 3; turn += 1) {
      at[axes[turn]] += 1;
      this.add(colour, at, share[axes[turn]] - (turn < 2 ? share[axes[turn + 1]] : 0));
    }
  }

  add(colour, [red, green, blue], weight) {
    const { side, across } = this.table;
    const x = (blue % across) * side + red;
    const y = Math.floor(blue / across) * side + green;
    const from = 3 * (y * this.across + x);
    for (let c = 0; c < 3; c += 1) colour[c] += weight * this.values[from + c];
  }
}
