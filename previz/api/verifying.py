"""A real still beside the plan: pointed at, compared, kept as a record of the day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

import numpy as np

from previz.api.light import read_light
from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.pictures import look_digest, pictures_of
from previz.api.pointing import Typed, marks_from
from previz.api.progress import Progress, Silence
from previz.api.session import RenderOptions, cameras_wanted
from previz.api.white import white_of
from previz.deliver.files import writable_folder
from previz.deliver.frames import read_png
from previz.deliver.manifest import read_manifest
from previz.deliver.verify.page import WipePage, write_pointing, write_wipe
from previz.deliver.verify.pictures import (
    Picture,
    Places,
    Side,
    write_overlay,
    write_side_by_side,
)
from previz.deliver.verify.record import DayRecord, read_records, write_record
from previz.deliver.verify.still import Still, check_shape, read_still
from previz.errors import InputError, Place, Problem
from previz.measure.camera.features import Feature, features_of
from previz.measure.measured import Ruler
from previz.measure.roles import guest_of
from previz.solve.card import CardNumbers, PlannedCard, compare_card
from previz.solve.marks import Marks
from previz.solve.pointed import Planned
from previz.solve.verify import Verified, verify
from previz.stage.identity import triple
from previz.telling.cautions import printed_for
from previz.telling.verify import (
    NOTHING_TO_DO,
    card_lines,
    doubt_lines,
    number_rows,
    step_words,
    verdict,
    verified_json,
)
from previz.version import version

DIGEST_LETTERS = 12
NEAR_FRAME_PCT = 2.0
"""How far outside the planned frame a point may lie and still be offered for pointing at."""


@dataclass(frozen=True)
class VerifyOptions:
    """Which still, of which camera, and what was pointed at in it."""

    camera: str
    still: Path
    typed: Typed = field(default_factory=Typed)
    out: Path | None = None
    variant: str | None = None
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class VerifiedStill:
    """A still that was verified: what was found, and the files that say so, the record last."""

    camera: str
    still: Still
    found: Verified
    card: CardNumbers | None
    files: tuple[Path, ...]
    cautions: tuple[str, ...]


def verify_still(
    source: Source, options: VerifyOptions, progress: Progress | None = None
) -> VerifiedStill:
    """Compare a still with the plan, write both side by side, and keep a record with the scene.

    The planned frame is one that was rendered before, or is rendered in draft quality. InputError,
    one line, for a still or points that mean nothing.
    """
    watch = progress or Silence()
    opened = opened_from(source, options.settings)
    work = OneStill(opened, options, watch)
    try:
        marks = marks_from(options.typed)
        found = verify(work.planned, marks, work.still.size_px)
        card = work.card(marks) if marks.card else None
    except ValueError as error:
        raise _wrong(options.still, error) from error
    files = (*work.pictures(found, marks, card), work.record(found, marks, card))
    cautions = printed_for(opened.stage) if found.steps else ()
    return VerifiedStill(options.camera, work.still, found, card, files, cautions)


def pointing_page(source: Source, options: VerifyOptions, progress: Progress | None = None) -> Path:
    """Write the page on which points are set in a still. Nothing is rendered."""
    opened = opened_from(source, options.settings)
    work = OneStill(opened, options, progress or Silence())
    name, stage_camera = options.camera, work.planned.camera
    short = {
        told: feature
        for told, feature in work.planned.features.items()
        if not told.startswith(f"{work.planned.subject}.")
    }
    places = _planned_at(short, work.planned)
    within = {n: at for n, at in places.items() if all(_near_frame(v) for v in at)}
    file = f"points_{name}.json"
    words = {
        "TITLE": f"{opened.scene.title}: points of camera {stage_camera.name}",
        "CAMERA": name,
        "FILE": file,
        "COMMAND": f"previz verify {opened.path} --camera {name} --still {options.still} "
        f"--points {file}",
    }
    path = work.folder / f"pointing_{name}.html"
    return write_pointing(path, work.still.picture, within, work.rendered_frame(), words)


def names_on_set(source: Source, camera: str, settings: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Names of all points that can be given, those inside the planned frame first."""
    opened = opened_from(source, settings)
    planned = planned_of(opened, camera)
    places = _planned_at(planned.features, planned)
    inside = [n for n, at in places.items() if all(_near_frame(v) for v in at)]
    return (*inside, *(n for n in planned.features if n not in inside))


@dataclass(frozen=True)
class Listed:
    """A record of the day, and whether the plan is still the one it was held against."""

    path: Path
    record: DayRecord
    same_plan: bool


def verified_of(source: Source, settings: tuple[str, ...] = ()) -> tuple[Listed, ...]:
    """All records that are kept with a scene."""
    opened = opened_from(source, settings)
    return tuple(
        Listed(path, record, record.set_digest == opened.set_digest)
        for path, record in read_records(opened.folder)
    )


def planned_of(opened: OpenScene, camera: str) -> Planned:
    """What the plan has of one camera. InputError for one that the scene has not."""
    (name,) = cameras_wanted(opened, RenderOptions(cameras=(camera,)))
    stage, setup = opened.stage, opened.stage.setups[name]
    placed = stage.cameras[name]
    framing = Ruler(stage, opened.scene.rules).camera(setup, placed).framing
    return Planned(
        stage=stage,
        camera=placed,
        subject=setup.subject,
        features=features_of(stage, placed, setup.subject, framing),
        framing=framing,
        marked_mm=setup.focal_length_mm,
    )


class OneStill:
    """One still of one camera of an open scene."""

    def __init__(self, opened: OpenScene, options: VerifyOptions, watch: Progress) -> None:
        self.opened, self.options, self.watch = opened, options, watch
        self.planned = planned_of(opened, options.camera)
        self.still = read_still(options.still)
        check_shape(self.still, self.planned.camera)
        folder = options.out or default_folder(opened.path) / "verify"
        self.folder = writable_folder(folder)

    def rendered_frame(self) -> Picture | None:
        """The planned frame as an earlier run has left it, if it is of this plan."""
        for folder in (default_folder(self.opened.path), self.folder / "planned"):
            manifest = read_manifest(folder)
            if manifest is None or (
                manifest.scene_digest != self.opened.digest
                and manifest.developed != look_digest(self.opened)
            ):
                continue
            note = manifest.frames.get(self.options.camera)
            if note is not None and note.complete:
                file = folder / note.files.get("picture", "?")
                if file.is_file():
                    return read_png(file)
        return None

    def planned_frame(self) -> Picture:
        """The planned frame as it lies there, or rendered in draft quality."""
        found = self.rendered_frame()
        if found is not None:
            return found
        camera = self.options.camera
        render = RenderOptions(
            out=self.folder / "planned",
            cameras=(camera,),
            quality="draft",
            variant=self.options.variant,
        )
        return pictures_of(self.opened, render, self.watch).frames[camera]

    def card(self, marks: Marks) -> CardNumbers:
        """The card in the still against one held at the face. ValueError without a person."""
        stage, camera = self.opened.stage, self.planned.camera
        held_by = stage.white_card_of or self.planned.subject or guest_of(stage)
        if held_by is None:
            raise ValueError("card: the plan has nobody to hold one")
        patch = self.still.patch(np.array([spot.px(self.still.size_px) for spot in marks.card]))
        readings = read_light(self.opened, self.options.variant, self.watch)
        by_light = readings.points[f"face/{held_by}"].by_light
        white = white_of(stage, by_light)
        light = triple(readings.points[f"face/{held_by}"].total)
        planned = PlannedCard(light, white, marks.card_pct / 100.0)
        look = self.opened.scene.look
        return compare_card(planned, patch, camera, look.view, self.opened.lut)

    def pictures(self, found: Verified, marks: Marks, card: CardNumbers | None) -> tuple[Path, ...]:
        """Side by side, mixed, and the page with the wipe."""
        name, planned = self.options.camera, self.planned_frame()
        title = f"{self.opened.scene.title}, camera {name}: {verdict(found)}"
        rows = tuple(number_rows(found))
        steps = tuple(map(step_words, found.steps))
        remarks = (
            *self.still.notes,
            *doubt_lines(found),
            *(() if card is None else card_lines(card)),
        )
        todo = f"To do, in this order: {'; '.join(steps)}." if steps else NOTHING_TO_DO
        remark = " ".join((todo, *map(str.strip, remarks)))
        cautions = printed_for(self.opened.stage) if steps else ()
        seen_at = {n: self._pct(spot.px(self.still.size_px)) for n, spot in marks.points.items()}
        features = {n: self.planned.features[n] for n in marks.points}
        side = Side(
            planned,
            self.still.picture,
            _planned_at(features, self.planned),
            seen_at,
            self.planned.framing,
        )
        stem = f"verified_{name}"
        both = write_side_by_side(
            self.folder / f"{stem}.png",
            side,
            title,
            self._about(),
            rows,
            remark,
            cautions,
            self._foot(),
        )
        notes = {"Title": title, "Software": f"previz {version()}"}
        mixed = write_overlay(
            self.folder / f"{stem}_overlay.png", planned, self.still.picture, notes
        )
        page = WipePage(title, self._about(), rows, steps, remarks, cautions, self._foot())
        wipe = write_wipe(self.folder / f"{stem}.html", page, planned, self.still.picture)
        return both, mixed, wipe

    def record(self, found: Verified, marks: Marks, card: CardNumbers | None) -> Path:
        """Keep what was pointed at and found with the scene."""
        record = DayRecord(
            camera=self.options.camera,
            still=self.options.still.name,
            still_sha256=self.still.sha256,
            taken=self.still.taken,
            scene_digest=self.opened.digest,
            set_digest=self.opened.set_digest,
            marks=asdict(marks),
            result=verified_json(found, card),
        )
        return write_record(self.opened.folder, record)

    def _pct(self, at_px: np.ndarray) -> tuple[float, float]:
        width, height = self.still.size_px
        return 100.0 * float(at_px[0]) / width, 100.0 * float(at_px[1]) / height

    def _about(self) -> str:
        width, height = self.still.size_px
        taken = f", taken {self.still.taken}" if self.still.taken else ""
        return f"{self.options.still.name}, {width} x {height}{taken}"

    def _foot(self) -> str:
        return (
            f"previz {version()}, scene {self.opened.digest[:DIGEST_LETTERS]}, "
            f"still {self.still.sha256[:DIGEST_LETTERS]}"
        )


def _planned_at(features: Mapping[str, Feature], planned: Planned) -> Places:
    """Where the plan shows points, per cent; without those behind the lens."""
    found = {}
    for name, feature in features.items():
        x, y = planned.camera.project(feature.point_m, 100, 100)[0]
        if np.isfinite(x) and np.isfinite(y):
            found[name] = (float(x), float(y))
    return found


def _near_frame(share_pct: float) -> bool:
    return -NEAR_FRAME_PCT <= share_pct <= 100.0 + NEAR_FRAME_PCT


def _wrong(still: Path, error: ValueError) -> InputError:
    return InputError([Problem(Place(still), str(error))])
