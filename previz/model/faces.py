"""Faces of the catalogue: what a stand-in's head looks like."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import CatalogName, Noun, ranged
from previz.model.records import Record

SkinClass = Literal["very_light", "light", "intermediate", "tan", "brown", "dark"]
Share = Annotated[float, ranged(0.0, 1.0)]
Score = Annotated[float, ranged(-2.0, 2.0)]
Amount = Annotated[float, ranged(-1.0, 1.0)]


class Descent(Noun):
    """Where a face's forebears lived, as shares that sum to 1."""

    africa: Share = Field(description="Share of Africa south of the Sahara.")
    asia: Share = Field(description="Share of East Asia.")
    europe: Share = Field(description="Share of Europe.")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if abs(self.africa + self.asia + self.europe - 1.0) > 0.005:
            raise ValueError("the shares of descent sum to 1")
        return self


class HeadScores(Noun):
    """Measures of the head as standard scores about what is usual for the stature."""

    breadth: Score = Field(0.0, description="Breadth of the head over the ears.")
    length: Score = Field(0.0, description="Length of the head from front to back.")
    face_length: Score = Field(0.0, description="From the root of the nose to the chin.")
    cheekbones: Score = Field(0.0, description="Breadth over the cheekbones.")
    eyes_apart: Score = Field(0.0, description="Distance between the pupils.")


class FaceRecord(Record):
    """A face: descent, measures of the head, and how far each feature goes."""

    sex: Literal["female", "male"] = Field(description="Whose face it is, if nobody asks for it.")
    skins: tuple[SkinClass, ...] = Field(
        description="Skins with which it is chosen by itself.", min_length=1
    )
    descent: Descent = Field(description="Descent.")
    head: HeadScores = Field(HeadScores(), description="Measures of the head.")
    features: dict[CatalogName, Amount] = Field(
        {}, description="Features by the words of geometry/people/features.py, -1 to 1."
    )
