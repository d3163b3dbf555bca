// A frame in the size and the format that suit the screen.
const TYPES = { avif: "image/avif", webp: "image/webp", jpg: "image/jpeg" };
const SIZES = "(min-width: 60rem) min(94vw, 96rem), 96vw";

export function picture(frame, formats, words) {
  const all = document.createElement("picture");
  const address = (width, ending) => `/frame/${frame.sha256}/${width}.${ending}`;
  const listed = (ending) =>
    frame.widths_px.map((width) => `${address(width, ending)} ${width}w`).join(", ");
  for (const ending of formats.slice(0, -1)) {
    const source = document.createElement("source");
    source.type = TYPES[ending];
    source.sizes = SIZES;
    source.srcset = listed(ending);
    all.append(source);
  }
  const image = document.createElement("img");
  const last = formats.at(-1);
  image.loading = "lazy";
  image.draggable = false;
  image.width = frame.width_px;
  image.height = frame.height_px;
  image.alt = words;
  image.sizes = SIZES;
  image.srcset = listed(last);
  image.src = address(frame.widths_px.at(-1), last);
  all.append(image);
  return all;
}
