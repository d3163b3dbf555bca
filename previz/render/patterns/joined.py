"""Pictures of texels one after another in one array, kept between runs as they lie in memory."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz.render.patterns.tile import code

KIND, MOST = "texels", 12
"""A stage has some tens of megabytes of them; what is kept is mapped and only read where seen."""


@dataclass(frozen=True, eq=False)
class Joined:
    """Square pictures in one array.

    texels  all of them, flat
    sides   of each picture, (n,)
    starts  where each begins, (n,)
    """

    texels: NDArray[np.uint32]
    sides: NDArray[np.uint32]
    starts: NDArray[np.uint32]


def joined(pictures: Sequence[NDArray[np.uint32]]) -> Joined:
    """Pictures (n, n) each in one array; one that is given twice lies there once."""
    unlike = {id(picture): picture for picture in pictures}
    ends = np.cumsum([0, *(picture.size for picture in unlike.values())])
    starts = dict(zip(unlike, ends[:-1].tolist(), strict=True))
    return Joined(
        np.concatenate([picture.reshape(-1) for picture in unlike.values()]),
        np.array([len(picture) for picture in pictures], np.uint32),
        np.array([starts[id(picture)] for picture in pictures], np.uint32),
    )


def kept_joined(what: object, pictures: Callable[[], Sequence[NDArray[np.uint32]]]) -> Joined:
    """The `pictures` that `what` names, joined now or by an earlier run."""
    key = store.key_of((), code(), what)
    kept = store.load(KIND, key)
    if kept is None:
        store.keep(KIND, key, vars(joined(pictures())), MOST)
        kept = store.load(KIND, key)
    return joined(pictures()) if kept is None else Joined(**kept)
