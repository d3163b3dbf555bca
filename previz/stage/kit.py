"""What a camera is made of and how it is set up: the records behind it, the marks on its lens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from previz.catalog import Catalog
from previz.model.cameras import Camera, ConfusionRule
from previz.model.exposure import ASPECTS, Delivery
from previz.model.records import Adapter, Lens, Sensor, SensorMode
from previz.model.scene import Scene
from previz.physics import focus, optics
from previz.stage.supports import SUPPORTS, SupportName


@dataclass(frozen=True)
class Kit:
    """The catalogue's records behind one camera, and the shape that is delivered first."""

    sensor: Sensor
    mode_name: str
    lens: Lens
    adapter: Adapter | None
    delivered: Delivery | None = None

    @property
    def recorded(self) -> SensorMode:
        """The part of the sensor that is read, and how many pixels come of it."""
        return self.sensor.modes[self.mode_name]

    @property
    def mode(self) -> SensorMode:
        """Of that the middle which is delivered, and so framed; all of it where nothing is cut."""
        if self.delivered is None:
            return self.recorded
        whole = self.recorded
        wider = ASPECTS[self.delivered] * whole.height_mm / whole.width_mm
        across, down = min(wider, 1.0), min(1.0 / wider, 1.0)
        return whole.model_copy(
            update={
                "width_mm": whole.width_mm * across,
                "height_mm": whole.height_mm * down,
                "width_px": 2 * round(whole.width_px * across / 2.0),
                "height_px": 2 * round(whole.height_px * down / 2.0),
            }
        )

    @property
    def factor(self) -> float:
        """What the adapter multiplies focal length and f-number by; 1 without one."""
        return self.adapter.factor if self.adapter else 1.0

    @property
    def image_circle_mm(self) -> float:
        """What lens and adapter cover."""
        factor = self.adapter.image_circle_factor if self.adapter else 1.0
        return self.lens.image_circle_mm * factor

    @property
    def mode_diagonal_mm(self) -> float:
        """Diagonal of the part of the sensor that is read."""
        return optics.diagonal(self.recorded.width_mm, self.recorded.height_mm)


@dataclass(frozen=True)
class CameraSetup:
    """One camera as it is set up; what a renderer needs of it is `Stage.cameras`.

    focal_length_mm, f_number  as set on the lens, before any adapter
    subject                    the person it is on; None: nobody
    aimed_at                   the person whose eyes it aims at; None: a point
    aim_from_left_pct, aim_from_top_pct
                               where in the picture what it aims at comes to lie
    follows_focus              focus is on a person's nearer eye, not at a set distance
    auto                       ISO and ND are still to be chosen by the light
    """

    kit: Kit
    focal_length_mm: float
    f_number: float
    subject: str | None
    aimed_at: str | None
    aim_m: tuple[float, float, float] | None
    aim_from_left_pct: float
    aim_from_top_pct: float
    follows_focus: bool
    support: SupportName
    confusion: ConfusionRule
    auto: bool = False

    @property
    def held(self) -> bool:
        """Whether a person carries it."""
        return SUPPORTS[self.support].held

    def circle_of_confusion_mm(self, picture_width_px: int) -> float:
        """What counts as sharp, by the convention chosen for the camera or the scene."""
        mode = self.kit.mode
        if self.confusion == "cine":
            return focus.CINE_35_COC_MM
        if self.confusion == "pixel":
            return focus.coc_of_pixel(mode.width_mm, picture_width_px)
        return focus.coc_from_diagonal(mode.width_mm, mode.height_mm)


def kit_of(camera: Camera, catalog: Catalog, delivery: Sequence[Delivery] = ()) -> Kit:
    """Look up the records a camera names; it is framed for the first shape of `delivery`."""
    sensor = catalog.sensor(camera.sensor)
    adapter = catalog.adapter(camera.adapter) if camera.adapter else None
    return Kit(sensor, camera.mode, catalog.lens(camera.lens), adapter, *delivery[:1])


def setup_of(
    camera: Camera, scene: Scene, kit: Kit, aim_from_left_pct: float, aim_from_top_pct: float
) -> CameraSetup:
    """How a camera of a scene is set up, with what the scene leaves to its kit."""
    followed = camera.focus if camera.focus in scene.people else None
    return CameraSetup(
        kit=kit,
        focal_length_mm=camera.focal_length_mm or kit.lens.focal_length_mm[0],
        f_number=camera.f_number,
        subject=followed if camera.aim is None else camera.aim,
        aimed_at=camera.aim,
        aim_m=camera.aim_m,
        aim_from_left_pct=aim_from_left_pct,
        aim_from_top_pct=aim_from_top_pct,
        follows_focus=camera.focus_distance_m is None,
        support=camera.support,
        confusion=camera.circle_of_confusion or scene.exposure.circle_of_confusion,
        auto=camera.exposure == "auto",
    )
