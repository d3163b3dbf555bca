// A box on the picture: drawn by hand, or chosen by its place.
const LEAST = 0.02;
const within = (share) => Math.min(1, Math.max(0, share));

export function marking(picture, box, places, outline) {
  let mark = null, from = null;
  const at = (event) => {
    const area = picture.getBoundingClientRect();
    return {
      x: within((event.clientX - area.left) / area.width),
      y: within((event.clientY - area.top) / area.height),
    };
  };
  const set = (found) => {
    mark = found;
    if (found) outline(box, found);
    else box.hidden = true;
  };
  picture.addEventListener("pointerdown", (event) => {
    if (!picture.classList.contains("marking")) return;
    from = at(event);
    picture.setPointerCapture(event.pointerId);
  });
  picture.addEventListener("pointermove", (event) => {
    if (!from) return;
    const to = at(event);
    const x = Math.min(from.x, to.x), y = Math.min(from.y, to.y);
    const width = Math.abs(to.x - from.x), height = Math.abs(to.y - from.y);
    if (width > LEAST || height > LEAST) {
      set({ x, y, width: Math.min(width, 1 - x), height: Math.min(height, 1 - y) });
      places.value = "drawn";
    }
  });
  for (const end of ["pointerup", "pointercancel"])
    picture.addEventListener(end, () => (from = null));
  places.addEventListener("change", () => {
    if (!places.value) return set(null);
    const [column, row] = places.value.split(",").map(Number);
    set({ x: column / 3, y: row / 3, width: 1 / 3, height: 1 / 3 });
  });
  return {
    value: () => mark,
    open: (open) => {
      picture.classList.toggle("marking", open);
      if (!open) {
        set(null);
        places.value = "";
      }
    },
  };
}
