"""What people decide about frames they were shown: a yes, or a wish for a change."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal, Self
from unicodedata import category

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from previz.model.base import Name, Noun, ranged

LONGEST_COMMENT, LONGEST_NAME, MOST_DECISIONS = 2000, 80, 500
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Turn the direction of what follows, and can make a name look like another."""


def _one_line(text: str) -> str:
    ends = ("Zl", "Zp")
    if not _no_controls(text) or any(category(a) in ends or a in TURNING for a in text):
        raise ValueError("must be letters on one line")
    return text


def _lines(text: str) -> str:
    if not _no_controls(text.translate({ord(end): None for end in "\n\r\t"})):
        raise ValueError("must be letters, without control characters")
    return text


def _no_controls(text: str) -> bool:
    return not any(category(letter) in ("Cc", "Cs") for letter in text)


def _a_moment(text: str) -> str:
    datetime.fromisoformat(text)
    return text


Reviewer = Annotated[
    str,
    StringConstraints(strict=True, strip_whitespace=True, min_length=1, max_length=LONGEST_NAME),
    AfterValidator(_one_line),
]
"""Whoever decides, as they name themselves."""
SceneName = Annotated[
    str, StringConstraints(strict=True, min_length=1, max_length=120), AfterValidator(_one_line)
]
Comment = Annotated[
    str, StringConstraints(strict=True, max_length=LONGEST_COMMENT), AfterValidator(_lines)
]
Utc = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,6})?Z$"),
    AfterValidator(_a_moment),
]
"""A moment in UTC as ISO 8601 writes it."""
ShowingId = Annotated[str, StringConstraints(strict=True, pattern=r"^[0-9a-f]{16}$")]
ShownDigest = Annotated[str, StringConstraints(strict=True, pattern=r"^[0-9a-f]{32}$")]
FileDigest = Annotated[str, StringConstraints(strict=True, pattern=r"^[0-9a-f]{64}$")]
DecisionId = Annotated[
    str,
    StringConstraints(
        strict=True,
        pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$",
    ),
]
"""A random number by RFC 9562 (version 4), small letters."""
Share = Annotated[float, ranged(0, 1)]
Came = Literal["page", "served"]


class Mark(Noun):
    """A box on a picture, in shares of its width and height from the left and the top."""

    x: Share
    y: Share
    width: Share
    height: Share

    @model_validator(mode="after")
    def _inside(self) -> Self:
        if self.x + self.width > 1.0 + 1e-6 or self.y + self.height > 1.0 + 1e-6:
            raise ValueError("must lie inside the picture")
        return self


class Decision(Noun):
    """One person about one frame. It is bound to what was seen: `shown` and the file's digest."""

    id: DecisionId
    scene: SceneName
    camera: Name
    shown: ShownDigest
    sha256: FileDigest
    says: Literal["approved", "change"]
    comment: Comment = ""
    mark: Mark | None = None
    by: Reviewer
    at: Utc

    @property
    def frame(self) -> tuple[str, str]:
        """Scene and camera."""
        return self.scene, self.camera

    @property
    def moment(self) -> datetime:
        """When it was decided."""
        return datetime.fromisoformat(self.at)


class DecisionFile(Noun):
    """What a reviewer sends."""

    form: Literal[1]
    showing: ShowingId
    by: Reviewer
    sent_at: Utc
    decisions: Annotated[tuple[Decision, ...], Field(max_length=MOST_DECISIONS)]


class Logged(Decision):
    """A decision in a scene's log: of which showing it is, and how it came."""

    showing: ShowingId
    came: Came


def logged(decision: Decision, showing: str, came: Came) -> Logged:
    """A decision as the log holds it."""
    return Logged(**decision.model_dump(), showing=showing, came=came)
