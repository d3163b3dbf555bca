// Images of the page, decoded: light as whole steps of a logarithm, low and high bytes apart.

async function decoded(address) {
  const image = new Image();
  image.src = address;
  await image.decode();
  return image;
}

// Whole numbers of three colours in each pixel, for who draws without a graphics card.
async function wholeNumbers(planes, width, height) {
  const steps = new Uint16Array(width * height * 3);
  for (const [address, factor] of [[planes.low, 1], [planes.high, 256]]) {
    if (!address) continue;
    const canvas = made("canvas", { width, height });
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    pen.drawImage(await decoded(address), 0, 0);
    const { data } = pen.getImageData(0, 0, width, height);
    for (let from = 0, to = 0; from < data.length; from += 4, to += 3) {
      for (let colour = 0; colour < 3; colour += 1) steps[to + colour] += factor * data[from + colour];
    }
  }
  return steps;
}

// A canvas of a frame's size, or of one pixel in `stride` across and down.
function fit(canvas, frame, stride) {
  const [width, height] = [Math.ceil(frame.width / stride), Math.ceil(frame.height / stride)];
  if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
}
