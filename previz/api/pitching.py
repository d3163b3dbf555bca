"""A pitch: every scene's frames, light, other looks, plan, place and cautions as one document."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from previz.api.daytime import frames_of_hours
from previz.api.lit import Alone, lit_frames
from previz.api.looks import Looks, based_on, looks_of, telling_camera
from previz.api.measuring import measure_scene
from previz.api.opening import OpenScene, Source, default_folder
from previz.api.packing import needs_in
from previz.api.pictures import Pictures, pictures_of
from previz.api.planning import layout_of
from previz.api.progress import Progress, Silence
from previz.api.session import RenderOptions
from previz.api.several import all_open
from previz.deliver.files import writable_folder
from previz.deliver.paper.lacking import lacking
from previz.deliver.pitch.content import Captioned, Chapter, Cover, Place, Shot
from previz.deliver.pitch.document import Page, write_pitch
from previz.deliver.pitch.leaf import PitchPaper
from previz.deliver.plan.view import ScaleError
from previz.errors import InputError, Problem
from previz.errors import Place as FilePlace
from previz.measure.light.parts import LightPart, light_parts
from previz.measure.report import Report
from previz.measure.roles import guest_of
from previz.model.scene import Scene
from previz.solve.hours import Hour, day_around, own_moment
from previz.telling.cautions import printed_for
from previz.telling.pitch import (
    facts_of,
    headed,
    hour_words,
    lifted_words,
    part_words,
    place_facts,
    reading_words,
    together_words,
)
from previz.telling.setting_out import shown
from previz.version import version

LIGHT_PX, HOURS_PX = 400, 480
"""How wide small frames are at least."""
DIGEST_LETTERS = 12
MIDDLE_PCT = 50.0
AS_PROPOSED = "As proposed"


@dataclass(frozen=True)
class PitchOptions:
    """How a pitch is made. `render` says how frames are; its folder and cameras stay unused.

    frames  folder with the frames of each scene under its name, and their light; None: `frames`
            beside the document
    """

    out: Path | None = None
    frames: Path | None = None
    paper: PitchPaper = "a4"
    hours: bool = True
    render: RenderOptions = field(default_factory=RenderOptions)
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Pitched:
    """A pitch that was made.

    parts     by scene: what each light is for, and what it gives the face
    rendered  cameras that had to be rendered, with their scene before them; none when all was found
    lacking   letters of its words that the faces lack: a question mark stands for each
    """

    files: tuple[Path, ...]
    pages: tuple[Page, ...]
    parts: Mapping[str, tuple[LightPart, ...]]
    rendered: tuple[str, ...]
    lacking: tuple[str, ...]
    cautions: tuple[str, ...]


def pitch_scenes(
    sources: Sequence[Source],
    options: PitchOptions | None = None,
    progress: Progress | None = None,
) -> Pitched:
    """Lay out a pitch of scenes, a chapter each; those based on the first are its other looks.

    Frames and their light stay in `frames` beside the document, and serve the next run as long as
    the set is the same. InputError with the problems of every scene; ValueError for settings to
    several scenes.
    """
    options, watch = options or PitchOptions(), progress or Silence()
    opened = all_open(sources, options.settings, watch)
    names = list(opened)
    looks = [name for name in names[1:] if based_on(opened[name], opened[names[0]])]
    folder = writable_folder(_folder(opened, options))
    made: dict[str, _Made] = {}
    for name in names:
        if name not in looks:
            given = {n: (opened[n], None) for n in looks} if name == names[0] else {}
            own = folder if name == names[0] else folder / name
            frames = own / "frames" if options.frames is None else options.frames / name
            work = _Chapter(opened[name], options, frames, watch)
            made[name] = work.made(given)
    chapters = [work.chapter for work in made.values()]
    file = folder / "pitch.pdf"
    try:
        pages = write_pitch(file, chapters, options.paper)
    except ScaleError as error:
        raise InputError([Problem(FilePlace(opened[names[0]].path), f"plan: {error}")]) from error
    said = dict.fromkeys(text for work in made.values() for text in work.chapter.cautions)
    return Pitched(
        files=(file,),
        pages=pages,
        parts={name: work.parts for name, work in made.items()},
        rendered=tuple(f"{n}.{camera}" for n, work in made.items() for camera in work.rendered),
        lacking=lacking(text for chapter in chapters for text in _words(chapter)),
        cautions=tuple(said),
    )


def _folder(opened: Mapping[str, OpenScene], options: PitchOptions) -> Path:
    first = next(iter(opened.values()))
    return options.out or default_folder(first.path) / "pitch"


def _words(chapter: Chapter) -> Iterator[str]:
    """All words of a chapter that come from its scene."""
    yield from (chapter.title, chapter.line, chapter.by, chapter.light_said, chapter.close)
    yield from chapter.place.lines
    for shot in chapter.shots:
        yield from shot.lines
    for look in chapter.alternatives:
        yield from (look.name, look.what, look.said)


@dataclass(frozen=True, eq=False)
class _Made:
    """One chapter, and what was done for it."""

    chapter: Chapter
    parts: tuple[LightPart, ...]
    rendered: tuple[str, ...]


class _Chapter:
    """Gathers all that one scene's pages hold."""

    def __init__(
        self, opened: OpenScene, options: PitchOptions, folder: Path, watch: Progress
    ) -> None:
        self.opened, self.options, self.watch = opened, options, watch
        self.folder = folder
        self.pitch = opened.scene.pitch
        self.first = next(iter(opened.stage.cameras))
        self.rendered: list[str] = []

    def made(self, given: Looks) -> _Made:
        """The chapter; `given` are other looks named on the command line."""
        opened, pitch = self.opened, self.pitch
        looks = looks_of(opened, given)
        frames = self._pictures(opened, self.folder, ())
        report = measure_scene(
            opened, light=True, variant=self.options.render.variant, progress=self.watch
        )
        parts = light_parts(opened.stage, report.light) if report.light else ()
        needs, layout = needs_in(opened), layout_of(opened)
        questions = tuple(shown(question) for question in needs.questions)
        hours = self._hours() if self.options.hours else ((), "")
        chapter = Chapter(
            title=opened.scene.title,
            line=pitch.line or "",
            by=pitch.by or "",
            cover=self._cover(frames, report),
            shots=tuple(self._shots(frames, report)),
            lights=tuple(self._lights(frames, report, parts)),
            light_said=pitch.light or "",
            read_on=self._read_on(),
            alternatives=tuple(self._alternatives(frames, looks)),
            hours=hours[0],
            hours_said=hours[1],
            layout=layout,
            place=Place(pitch.place, tuple(place_facts(needs, layout)), questions),
            cautions=printed_for(opened.stage),
            close=pitch.close or "",
            made_from=f"previz {version()}, scene {opened.digest[:DIGEST_LETTERS]}",
        )
        return _Made(chapter, parts, tuple(self.rendered))

    def _render(self, folder: Path, cameras: tuple[str, ...]) -> RenderOptions:
        return replace(self.options.render, out=folder, cameras=cameras, settings=())

    def _pictures(
        self,
        opened: OpenScene,
        folder: Path,
        cameras: tuple[str, ...],
        beside: tuple[Path, ...] = (),
    ) -> Pictures:
        found = pictures_of(opened, self._render(folder, cameras), self.watch, beside)
        self.rendered += found.rendered
        return found

    def _cover(self, frames: Pictures, report: Report) -> Cover:
        """Not the frame that the next page shows whole, where there is another."""
        name = tuple(frames.frames)[-1]
        framing = report.measured.cameras[name].framing
        return Cover(frames.frames[name], framing.eye_height_pct if framing else MIDDLE_PCT)

    def _shots(self, frames: Pictures, report: Report) -> Iterator[Shot]:
        for name, picture in frames.frames.items():
            facts = facts_of(
                report.measured.cameras[name], self.opened.stage.cameras[name].t_number
            )
            yield Shot(name, picture, self.pitch.cameras.get(name, ()), facts)

    def _lights(
        self, frames: Pictures, report: Report, parts: Sequence[LightPart]
    ) -> Iterator[Captioned]:
        """Each light alone in the first camera's frame, then all together if there are several."""
        if not parts:
            return
        alone = [Alone((part.name,), part.against or part.name) for part in parts]
        together = Alone(tuple(part.name for part in parts))
        *each, every = lit_frames(frames, self.first, [*alone, together], LIGHT_PX)
        for part, lit in zip(parts, each, strict=True):
            words = reading_words(part), lifted_words(lit.lift_stops)
            said = "; ".join(word for word in words if word)
            yield Captioned(headed(part.name), lit.picture, part_words(part), said)
        if len(parts) > 1:
            guest = guest_of(self.opened.stage)
            face = report.light.faces[guest] if report.light and guest else None
            yield Captioned("All together", every.picture, "", together_words(face))

    def _read_on(self) -> str:
        guest = guest_of(self.opened.stage)
        frames = f"Camera {self.first} as it is exposed, one light at a time."
        if guest is None:
            return frames
        return f"{frames} Lux as a meter reads it at the face of {shown(guest)}, toward the camera."

    def _alternatives(self, frames: Pictures, looks: Looks) -> Iterator[Captioned]:
        """Other looks; the scene's own first where one of them shows the same camera."""
        made = []
        for name, (look, line) in looks.items():
            camera = telling_camera(look, self.opened)
            found = self._pictures(
                look, self.folder / "looks" / name, (camera,), beside=(self.folder,)
            )
            title = look.scene.title
            made.append((camera, Captioned(headed(name), found.frames[camera], line or title)))
        own = next((camera for camera, _ in made if camera in frames.frames), None)
        if own is not None:
            yield Captioned(AS_PROPOSED, frames.frames[own], f"Camera {own}")
        yield from (cell for _, cell in made)

    def _hours(self) -> tuple[tuple[Captioned, ...], str]:
        """The first camera over the day; nothing where the scene has no place, time or window."""
        scene = self.opened.scene
        try:
            request = day_around(scene, self.first)
        except ValueError:
            return (), ""
        options = replace(self._render(self.folder / "hours", ()), width_px=HOURS_PX)
        hours, pictures, rendered = frames_of_hours(self.opened, request, options, self.watch)
        self.rendered += [hour.camera for hour in hours] if rendered else []
        cells = tuple(
            Captioned(_clock(hour, scene), pictures[hour.camera], hour_words(hour))
            for hour in hours
        )
        said = f"Camera {self.first} through the day, the stop and the white balance left alone."
        return cells, said


def _clock(hour: Hour, scene: Scene) -> str:
    return f"{hour.label}, as proposed" if hour.at == own_moment(scene) else hour.label
