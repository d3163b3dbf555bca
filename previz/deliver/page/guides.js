// Guide lines over the picture, by group. They stay on from picture to picture.

const guidesOn = new Set();
const SVG = "http://www.w3.org/2000/svg";

function layOutGuides(frame) {
  const groups = [...new Set(frame.guides.map((line) => line.group))];
  byId("groups").replaceChildren(...groups.map((group) => {
    const box = made("input", { type: "checkbox", checked: guidesOn.has(group) });
    box.addEventListener("change", () => {
      if (box.checked) guidesOn.add(group);
      else guidesOn.delete(group);
      drawGuides(frame);
    });
    return made("label", { className: "check" }, box, say(`group_${group}`));
  }));
  drawGuides(frame);
}

function drawGuides(frame) {
  const lines = frame.guides.filter((line) => guidesOn.has(line.group));
  byId("guides").replaceChildren(...["edge", ""].flatMap((kind) => lines.map((line) => drawn(line, kind))));
}

function drawn(line, kind) {
  const element = document.createElementNS(SVG, "line");
  const flat = line.along === "x";
  const ends = { x1: line.from_pct, x2: line.to_pct, y1: line.at_pct, y2: line.at_pct };
  const upright = { x1: line.at_pct, x2: line.at_pct, y1: line.from_pct, y2: line.to_pct };
  for (const [key, value] of Object.entries(flat ? ends : upright)) element.setAttribute(key, value);
  element.setAttribute("class", `${kind} ${line.dashed ? "dashed" : ""}`.trim());
  return element;
}
