"""What pictures can be computed on, in plain words, and the renderer's own names for it.

People read and write the words; only this table knows which of the renderer's modes is meant.
"""

from __future__ import annotations

from previz.render.variants import PREFERENCE

_MODES = {
    "graphics-card": "cuda_ad_rgb",
    "mac-graphics": "metal_ad_rgb",
    "processor": "llvm_ad_rgb",
    "processor-plain": "scalar_rgb",
}
_WORDS = {mode: word for word, mode in _MODES.items()}
COMPUTE = tuple(_WORDS[mode] for mode in PREFERENCE)
"""The words, best first. The plain processor works everywhere, slowest of all."""


def mode_of(word: str) -> str:
    """The renderer's mode that a word of `COMPUTE` stands for."""
    return _MODES[word]


def in_plain_words(text: str) -> str:
    """A text, or a mode by itself, with the word in place of every mode named."""
    for mode, word in _WORDS.items():
        text = text.replace(mode, word)
    return text
