"""The container of a glTF asset: numbers in one block of bytes, and the JSON that finds them.

Source: Khronos Group, "glTF 2.0 Specification", 2021, sections 3.6 and 4.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.deliver.files import whole_file

Node = dict[str, Any]

MAGIC, VERSION = 0x46546C67, 2
CHUNK_JSON, CHUNK_BINARY = 0x4E4F534A, 0x004E4942
UNSIGNED_SHORT, UNSIGNED_INT, FLOAT = 5123, 5125, 5126
VERTICES, INDICES = 34962, 34963
"""The format's own numbers."""
MOST_SHORT = 65535
"""Vertices up to which an index fits two bytes; the last number is kept for other uses."""


class Block:
    """Numbers as they lie in the file, each run on four bytes, with what finds them again."""

    def __init__(self) -> None:
        self.views: list[Node] = []
        self.accessors: list[Node] = []
        self._runs: list[bytes] = []
        self._length = 0

    def vectors(self, rows: NDArray[np.float32], *, bounds: bool = False) -> int:
        """Number of the accessor of rows (n, 3); `bounds` says the least and greatest."""
        data = np.ascontiguousarray(rows, "<f4")
        found: Node = {
            "bufferView": self._view(data.tobytes(), VERTICES),
            "componentType": FLOAT,
            "count": len(data),
            "type": "VEC3",
        }
        if bounds:
            found["min"], found["max"] = data.min(axis=0).tolist(), data.max(axis=0).tolist()
        return self._accessor(found)

    def triangles(self, faces: NDArray[np.int64], vertices: int) -> int:
        """Number of the accessor of corners (f, 3) of triangles between so many vertices."""
        short = vertices <= MOST_SHORT
        data = np.ascontiguousarray(faces.reshape(-1), "<u2" if short else "<u4")
        return self._accessor(
            {
                "bufferView": self._view(data.tobytes(), INDICES),
                "componentType": UNSIGNED_SHORT if short else UNSIGNED_INT,
                "count": len(data),
                "type": "SCALAR",
            }
        )

    def _accessor(self, found: Node) -> int:
        self.accessors.append(found)
        return len(self.accessors) - 1

    def _view(self, run: bytes, target: int) -> int:
        self.views.append(
            {
                "buffer": 0,
                "byteOffset": self._length,
                "byteLength": len(run),
                "target": target,
            }
        )
        padded = run + b"\0" * (-len(run) % 4)
        self._runs.append(padded)
        self._length += len(padded)
        return len(self.views) - 1

    @property
    def runs(self) -> Sequence[bytes]:
        """All bytes, run by run."""
        return self._runs

    @property
    def length(self) -> int:
        """How many bytes there are."""
        return self._length


def write_glb(path: Path, content: Node, block: Block) -> None:
    """Write an asset whole. The same content gives the same bytes."""
    content = {
        **content,
        "buffers": [{"byteLength": block.length}],
        "bufferViews": block.views,
        "accessors": block.accessors,
    }
    text = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    total = 12 + 8 + len(text) + 8 + block.length
    with whole_file(path) as fresh, fresh.open("wb") as file:
        file.write(struct.pack("<III", MAGIC, VERSION, total))
        file.write(struct.pack("<II", len(text), CHUNK_JSON) + text)
        file.write(struct.pack("<II", block.length, CHUNK_BINARY))
        file.writelines(block.runs)
