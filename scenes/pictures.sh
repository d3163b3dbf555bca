#!/usr/bin/env bash
# Makes the pictures that README.md shows, where it shows them. On a graphics card in a minute, on two cores in
# the time of a coffee for each.
set -euo pipefail
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# picture SCENE FOLDER CAMERA...: render at 1280 pixels and keep the frames in scenes/FOLDER.
picture() {
    local scene=$1 folder=$2
    shift 2
    local cameras=()
    for name in "$@"; do cameras+=(--camera "$name"); done
    previz render "scenes/$scene" --out "$work/$folder" --quality final \
        --width 1280 --exposure-map "${cameras[@]}"
    for name in "$@"; do cp "$work/$folder/frame_$name.png" "scenes/$folder/frame_$name.png"; done
}

picture bookbinder bookbinder A B
cp "$work/bookbinder/exposure_A.png" scenes/bookbinder/exposure_A.png
picture bookbinder/set.yaml bookbinder set

# The contact sheet of a move, a third as large as it is printed.
previz move scenes/bookbinder slide --sheet --width 640 --out "$work/moves"
python3 - "$work/moves/move_slide.png" scenes/bookbinder/move_slide.png <<'PYTHON'
import sys

from PIL import Image

sheet = Image.open(sys.argv[1]).convert("RGB")
small = sheet.resize((sheet.width // 3, sheet.height // 3), Image.Resampling.LANCZOS)
small.save(sys.argv[2], optimize=True)
PYTHON

# The page of `previz watch`, as Chromium shows it once the pictures are sharp.
PYTHONPATH=tests python3 tests/watch/page_picture.py scenes/bookbinder scenes/bookbinder/page.png

# A client decides on a phone, and is asked again for what changed.
PYTHONPATH=tests python3 tests/page/story_picture.py scenes/bookbinder scenes/bookbinder/approval.jpg

# Pages of the pitch, six of them small on one sheet.
previz pitch scenes/bookbinder --out "$work/pitch"
python3 - "$work/pitch/pitch.pdf" scenes/bookbinder/pitch.png <<'PYTHON'
import sys

import pypdfium2
from PIL import Image

ACROSS, GAP, SHOWN = 2, 8, (0, 1, 4, 5, 6, 7)
document = pypdfium2.PdfDocument(sys.argv[1])
pages = [document[number].render(scale=0.72).to_pil() for number in SHOWN]
wide, high = pages[0].size
rows = -(-len(pages) // ACROSS)
size = (ACROSS * (wide + GAP) + GAP, rows * (high + GAP) + GAP)
sheet = Image.new("RGB", size, (206, 206, 210))
for number, page in enumerate(pages):
    row, column = divmod(number, ACROSS)
    sheet.paste(page, (GAP + column * (wide + GAP), GAP + row * (high + GAP)))
sheet.quantize(palette=sheet.quantize(256)).save(sys.argv[2], optimize=True)
PYTHON

picture harbour_pilot harbour_pilot A
picture round_table round_table A

# Six of the people of tests/portraits, side by side.
six=(bookseller teacher professor doctor drummer student)
only=()
for name in "${six[@]}"; do only+=(--only "$name"); done
python3 tests/portraits/sheet.py --quality final --out "$work/portraits" "${only[@]}"
python3 - "$work/portraits" scenes/portraits.jpg "${six[@]}" <<'PYTHON'
import sys

from PIL import Image

folder, out, *names = sys.argv[1:]
across, down = 310, 360
strip = Image.new("RGB", (len(names) * across, down))
for number, name in enumerate(names):
    frame = Image.open(f"{folder}/{name}/frame_A.png").convert("RGB").crop((440, 0, 1060, 720))
    strip.paste(frame.resize((across, down), Image.Resampling.LANCZOS), (number * across, 0))
strip.save(out, quality=90)
PYTHON
