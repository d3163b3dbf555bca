"""Where the eyes of someone are, without building the body."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from previz.geometry.people import sockets
from previz.geometry.people.archive import Array, default_archive, load_archive
from previz.geometry.people.figure import Figure, Pose
from previz.geometry.people.gaze import look
from previz.geometry.people.posture import pose_trunk
from previz.geometry.people.shape import rest_body


def eye_point(figure: Figure, pose: Pose, archive: Path | None = None) -> Array:
    """Middle between the eyes (3,), metres in the person's frame (see Pose)."""
    data = load_archive(default_archive() if archive is None else archive)
    rest = rest_body(data, figure)
    posed = pose_trunk(rest, figure, pose)
    centres = [sockets.socket(data, rest.vertices, side).centre for side in ("left", "right")]
    _, gaze = look(posed, pose, np.array(centres))
    return np.asarray(gaze.centres.mean(axis=0), float)
