"""A path tracer that keeps the light of every lamp apart.

The estimator is the usual one: at each vertex one emitter sample and one surface sample,
joined by the balance of their densities (power heuristic), with Russian roulette. Each
contribution is added to the layer of the emitter that it came from, so the sum of the
layers is the picture, exactly. What an emitter sends is its radiance times a factor looked
up here: by angle for a fixture with a beam, by direction for a window.

Runs in the compiled (`*_ad_rgb`) variants only. Must be imported after a variant is set.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import astuple, dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from mitsuba.ad.integrators.common import mis_weight
from numpy.typing import NDArray

from previz.render.part import Part
from previz.render.pathtracer.beams import Beams, BeamTable
from previz.render.pathtracer.beneath import LIFT_M, Beneath
from previz.render.pathtracer.hair import HairGuides
from previz.render.pathtracer.lamps import learn
from previz.render.pathtracer.loading import aligned, load
from previz.render.pathtracer.obstacles import Obstacles
from previz.render.pathtracer.relief import Relief
from previz.render.pathtracer.sunlight import Sunlight, SunTable

ENDLESS = 1_000_000
DIRECT_LOOKS = 6


@dataclass(frozen=True, eq=False)
class EmitterTable:
    """What is known of each emitter of a scene, in the order of `scene.emitters()`.

    layer        number of its light layer, (n,)
    window       share of `environment` it shows times its tint, (n, 3); zero for a lamp
    beams        how they spread their light
    environment  panorama as in `previz.stage.environment`, or None
    sun          the sun and the windows it shines on, or None
    """

    layer: NDArray[np.int64]
    window: NDArray[np.float64]
    beams: BeamTable
    environment: NDArray[np.float32] | None
    sun: SunTable | None = None


class LayeredPaths:
    """Traces paths through one loaded scene and returns radiance by light layer."""

    def __init__(
        self,
        scene: Any,
        table: EmitterTable,
        layer_count: int,
        clear: Mapping[Any, float] | None = None,
    ) -> None:
        """`clear` has the scene's shapes of clear glass, with their indices of refraction."""
        self.scene = scene
        self._obstacles = Obstacles(scene, clear or {})
        self.layer_count = layer_count
        self.max_depth = ENDLESS
        self.roulette_depth = 3
        self.relief: Relief | None = None
        self.beneath: Beneath | None = None
        self.guides: HairGuides | None = None
        self._load_table(table)

    def up_to(self, max_depth: int) -> LayeredPaths:
        """The same scene for light paths of up to `max_depth` segments, -1 without end."""
        paths = copy(self)
        paths.max_depth = max_depth if max_depth > 0 else ENDLESS
        return paths

    def under(self, table: EmitterTable) -> LayeredPaths:
        """The same scene with another environment outside its windows."""
        paths = copy(self)
        paths._load_table(table)
        return paths

    def _load_table(self, table: EmitterTable) -> None:
        """Scatter the table to the emitters' registry numbers, which is what a hit gives."""
        numbers = [
            dr.reinterpret_array(mi.UInt32, mi.EmitterPtr(e))[0] for e in self.scene.emitters()
        ]
        size = max(numbers, default=0) + 1
        layer = np.zeros(size, np.uint32)
        window = np.zeros((size, 3), np.float32)
        if numbers:
            layer[numbers] = table.layer
            window[numbers] = table.window
        self._layer = mi.UInt32(aligned(layer, np.uint32))
        self._window = mi.Float(aligned(window, np.float32))
        self._beams = Beams(table.beams, numbers, size)
        self._environment: Any = None
        if table.environment is not None and table.window.any():
            # One column is repeated at the end so that the seam at plan south interpolates.
            picture = np.concatenate([table.environment, table.environment[:, :1]], axis=1)
            self._environment = mi.Texture2f(mi.TensorXf(picture), wrap_mode=dr.WrapMode.Clamp)
            self._environment_width = table.environment.shape[1]
        self._sun: Sunlight | None = None
        if table.sun is not None:
            self._sun = Sunlight(self._obstacles, table.sun, numbers)
        self._lamps = learn(self.scene, numbers, self._luminance_past_obstacles)

    def _luminance_past_obstacles(self, ds: Any, weight: Any, si: Any) -> Any:
        """Luminance of a sampled lamp over density, 0 where something stands in the way."""
        number = dr.reinterpret_array(mi.UInt32, ds.emitter)
        usable = self._unobstructed(si, ds, ds.pdf > 0.0)
        light = weight * self._factor(number, -dr.dot(ds.d, ds.n), ds.d, usable)
        return dr.select(usable, mi.luminance(light), 0.0)

    def _factor(self, number: Any, cos_emission: Any, towards: Any, active: Any) -> Any:
        """What multiplies an emitter's radiance: `towards` points at the emitter."""
        factor = mi.Color3f(1.0)
        if not self._beams.all_matt:
            factor = mi.Color3f(self._beams.factor(number, cos_emission, -towards, active))
        if self._environment is not None:
            window = dr.gather(mi.Color3f, self._window, number, active)
            seen = self._environment_along(towards) * window
            factor = dr.select(dr.max(window) > 0.0, seen, factor)
        return factor

    def _environment_along(self, direction: Any) -> Any:
        around = dr.atan2(direction.x, -direction.y) * dr.inv_two_pi
        around = dr.select(around < 0.0, around + 1.0, around)
        down = dr.acos(dr.clip(direction.z, -1.0, 1.0)) * dr.inv_pi
        column = (around * self._environment_width + 0.5) / (self._environment_width + 1)
        return mi.Color3f(*self._environment.eval(mi.Point2f(column, down)))

    @staticmethod
    def _survival(brightest: Any, eta: Any) -> Any:
        """Chance of a path that carries `brightest` to go on."""
        return dr.minimum(brightest * eta * eta, 0.95)

    @property
    def obstacles(self) -> Obstacles:
        """What stands in the way of light."""
        return self._obstacles

    @property
    def lamp_count(self) -> int:
        """How many surfaces give light."""
        return len(self.scene.emitters())

    @property
    def has_sun(self) -> bool:
        """Whether the sun reaches a window."""
        return self._sun is not None

    def from_lamp(self, si: Any, lamp: Any, sample: Any) -> tuple[Any, Any, Any]:
        """One sample of the illuminance that lamp number `lamp` gives at `si`, its layer, and
        where it gives any."""
        emitter = dr.gather(mi.EmitterPtr, self.scene.emitters_dr(), lamp)
        ds, weight = emitter.sample_direction(si, sample)
        ds.emitter = emitter
        cosine = dr.dot(ds.d, si.n)
        lit = self._unobstructed(si, ds, (ds.pdf > 0.0) & (cosine > 0.0))
        number = dr.reinterpret_array(mi.UInt32, emitter)
        light = weight * cosine * self._factor(number, -dr.dot(ds.d, ds.n), ds.d, lit)
        return light, dr.gather(mi.UInt32, self._layer, number), lit

    def from_sun(self, si: Any, sample: Any) -> tuple[Any, Any, Any]:
        """One sample of the sun's illuminance at `si`, its layer, and where it gives any."""
        assert self._sun is not None
        towards, light, number, lit = self._sun.sample(si, sample, mi.Bool(True))
        cosine = dr.dot(towards, si.n)
        lit &= cosine > 0.0
        return light * cosine, dr.gather(mi.UInt32, self._layer, number, lit), lit

    def first_met(self, ray: Any) -> tuple[Any, Any, Any, Any]:
        """Point, facing, albedo and distance of what rays meet first behind clear glass.

        Where that is nothing it is black and infinitely far.
        """
        si = self._obstacles.met_behind_glass(ray)
        hit = si.is_valid()
        seen = si.bsdf().eval_diffuse_reflectance(si, hit)
        number = dr.reinterpret_array(mi.UInt32, si.emitter(self.scene, hit))
        albedo = dr.select(hit & (number == 0), dr.clip(seen, 0.0, 1.0), 0.0)
        facing = dr.select(dr.dot(si.n, ray.d) > 0.0, -si.n, si.n)
        facing = dr.select(hit, facing, mi.Normal3f(0.0, 0.0, 1.0))
        point = dr.select(hit, si.p, 0.0)
        return point, facing, albedo, dr.select(hit, dr.norm(si.p - ray.o), dr.inf)

    def _shared_out(self, layers: list[Any], light: Any, number: Any, active: Any) -> list[Any]:
        """`layers` with `light` added to that of emitter `number`."""
        layer = dr.gather(mi.UInt32, self._layer, number, active)
        return [
            before + dr.select(active & (layer == i), light, 0.0) for i, before in enumerate(layers)
        ]

    def _sample_lamp(self, si: Any, sample: Any, active: Any) -> tuple[Any, Any, Any]:
        """A point on some lamp, its light over density, and where it is usable and unobstructed."""
        ds, weight = self._lamps.sample(si, sample, active)
        return ds, weight, self._unobstructed(si, ds, active & (ds.pdf != 0.0))

    def _unobstructed(self, si: Any, ds: Any, active: Any) -> Any:
        """Where nothing stands between a surface and the point sampled on a lamp.

        Clear glass stands in no shadow ray's way: light through a pane or spectacles goes
        straight on, and sampling it only by chance would be noise.
        """
        return active & ~self._obstacles.block(si.spawn_ray_to(ds.p), active)

    def _with_sun(
        self,
        layers: list[Any],
        si: Any,
        bsdf: Any,
        throughput: Any,
        sampler: Any,
        active: Any,
        under: tuple[Any, Any, Any],
    ) -> list[Any]:
        """`layers` with the sun's light that the surface at `si` sends back along the path."""
        if self._sun is None:
            return layers
        towards, light, number, active = self._sun.sample(si, sampler.next_2d(), active)
        value = bsdf.eval(mi.BSDFContext(), si, si.to_local(towards), active)
        value += self._beneath_skin(si, *under, towards)
        return self._shared_out(layers, throughput * value * light, number, active)

    def _sun_seen(self, number: Any, direction: Any, active: Any) -> Any:
        """Luminance of the sun's disc itself, for whoever looks straight at it."""
        if self._sun is None:
            return mi.Color3f(0.0)
        return self._sun.seen(number, direction, active)

    def _with_mirrored(
        self, layers: list[Any], si: Any, throughput: Any, mirrored: Any, active: Any
    ) -> list[Any]:
        """`layers` with what clear glass at `si` mirrors of lamps, a share `mirrored` of it."""
        active &= mirrored > 0.0
        away = si.spawn_ray(si.to_world(mi.reflect(si.wi)))
        met, through = self._obstacles.met_through_glass(away, active)
        emitter = met.emitter(self.scene, active)
        number = dr.reinterpret_array(mi.UInt32, emitter)
        lit = active & met.is_valid() & (number != 0)
        light = throughput * mirrored * through * emitter.eval(met, lit)
        light *= self._factor(number, met.wi.z, away.d, lit)
        return self._shared_out(layers, light, number, lit)

    def _bend(self, si: Any, active: Any, pixel_rad: Any) -> Any:
        """How much skin bends where a camera looks at it; 0 on everything else."""
        if pixel_rad is None or self.beneath is None:
            return mi.Float(0.0)
        return self.beneath.bend(si, active)

    def _beneath_skin(self, si: Any, plain: Any, bend: Any, albedo: Any, towards: Any) -> Any:
        """What light that travels under skin adds to what the surface at `si` sends back."""
        if self.beneath is None:
            return mi.Color3f(0.0)
        return self.beneath.more(si, plain, bend, albedo, towards)

    def _embossed(self, si: Any, ray: Any, away_m: Any, pixel_rad: Any, active: Any) -> Any:
        """`si` with the relief of its pattern in its shading normal, if anyone looks."""
        if pixel_rad is None or self.relief is None or self.relief.flat:
            return si
        return self.relief.tilted(si, ray, pixel_rad * away_m, active)

    def _guiding(self, si: Any, bsdf: Any, active: Any) -> tuple[Any, Any]:
        """Albedo and normal at `si`, for the denoiser."""
        seen, facing = bsdf.eval_diffuse_reflectance(si, active), si.sh_frame.n
        if self.guides is None or self.guides.bald:
            return seen, facing
        return self.guides.on(si, seen, mi.Vector3f(facing), active)

    @dr.syntax
    def trace(  # noqa: PLR0915 - one compiled loop: its state has to stand in one place
        self, sampler: Any, ray: Any, active: Any, emission_first: bool, pixel_rad: Any = None
    ) -> Any:
        """Radiance by layer along `ray`, and albedo and normal of what it meets first.

        With `emission_first` False, emitters that the ray itself meets give nothing (their
        light is counted elsewhere). `pixel_rad` is the angle between two pixels where the ray is
        a camera's: only a camera sees relief.
        """
        scene = self.scene
        context = mi.BSDFContext()
        ray = mi.Ray3f(ray)
        depth = mi.UInt32(0)
        layers = [mi.Color3f(0.0) for _ in range(self.layer_count)]
        albedo = mi.Color3f(0.0)
        normal = mi.Vector3f(0.0)
        throughput = mi.Color3f(1.0)
        eta = mi.Float(1.0)
        active = mi.Bool(active)
        count_emission = mi.Bool(emission_first)
        previous = dr.zeros(mi.SurfaceInteraction3f)
        previous_pdf = mi.Float(1.0)
        previous_delta = mi.Bool(True)
        looking = mi.Bool(emission_first)
        away_m = mi.Float(0.0)

        while dr.hint(active, max_iterations=self.max_depth, label="layered paths"):
            si = scene.ray_intersect(ray, mi.RayFlags.All, depth == 0, active)
            away_m += dr.select(active & si.is_valid(), si.t, 0.0)
            looked_at = active & looking & si.is_valid()
            plain = mi.Normal3f(si.sh_frame.n)
            si = self._embossed(si, ray, away_m, pixel_rad, looked_at)
            bsdf = si.bsdf(ray)
            seen, facing = self._guiding(si, bsdf, looked_at)

            # Light of an emitter that the path has hit.
            ds = mi.DirectionSample3f(scene, si, previous)
            met = active & count_emission
            mis = mis_weight(previous_pdf, self._lamps.density(previous, ds, met & ~previous_delta))
            mis = dr.select(previous_delta, 1.0, mis)
            number = dr.reinterpret_array(mi.UInt32, ds.emitter)
            lit = met & (number != 0)
            emitted = throughput * mis * ds.emitter.eval(si, lit)
            emitted *= self._factor(number, si.wi.z, ray.d, lit)
            emitted += throughput * self._sun_seen(number, ray.d, lit & looking)
            layers = self._shared_out(layers, emitted, number, lit)

            # Light of an emitter that was chosen and aimed at.
            go_on = active & (depth + 1 < self.max_depth) & si.is_valid()
            bend = self._bend(si, looked_at, pixel_rad)
            si.p += dr.select(bend > 0.0, LIFT_M, 0.0) * plain
            smooth = go_on & mi.has_flag(bsdf.flags(), mi.BSDFFlags.Smooth)
            ds, weight, sampling = self._sample_lamp(si, sampler.next_2d(), smooth)
            towards = si.to_local(ds.d)
            value, pdf, sample, sample_weight = bsdf.eval_pdf_sample(
                context, si, towards, sampler.next_1d(), sampler.next_2d(), go_on
            )
            mis = dr.select(ds.delta, 1.0, mis_weight(ds.pdf, pdf))
            number = dr.reinterpret_array(mi.UInt32, ds.emitter)
            more = self._beneath_skin(si, plain, bend, seen, ds.d)
            received = throughput * (mis * value + more) * weight
            received *= self._factor(number, -dr.dot(ds.d, ds.n), ds.d, sampling)
            layers = self._shared_out(layers, received, number, sampling)
            under = (plain, bend, seen)
            layers = self._with_sun(layers, si, bsdf, throughput, sampler, smooth, under)

            # What the denoiser wants to know of the first thing met; of eyes behind spectacles
            # the eyes, or nothing would hold their edges.
            albedo = dr.select(looked_at, dr.select(lit, mi.Color3f(1.0), seen), albedo)
            normal = dr.select(looked_at, facing, normal)

            # Lamps mirrored in glass that the camera sees: found each time, for chance would
            # find them once in twenty, and a catchlight with it.
            mirrored = mi.Float(0.0)
            if emission_first:
                mirrored = self._obstacles.mirrored_at(si, go_on & looking)
                layers = self._with_mirrored(layers, si, throughput, mirrored, go_on & looking)

            # On to the next vertex. Straight through glass counts as no vertex at all, since
            # lamps behind the glass were sampled from the vertex before.
            ray = si.spawn_ray(si.to_world(sample.wo))
            eta *= sample.eta
            throughput *= sample_weight
            delta = mi.has_flag(sample.sampled_type, mi.BSDFFlags.Delta)
            straight = delta & (dr.dot(sample.wo, si.wi) < -0.9999)
            previous = dr.select(straight, previous, si)
            previous_pdf = dr.select(straight, previous_pdf, sample.pdf)
            previous_delta = dr.select(straight, previous_delta, delta)
            count_emission |= ~straight
            count_emission &= ~(looking & delta & ~straight & (mirrored > 0.0))
            looking &= straight
            depth += 1

            # Stop paths that carry little. A path that has carried nothing ends here.
            brightest = dr.max(throughput)
            survival = self._survival(brightest, eta)
            roulette = depth >= self.roulette_depth
            survived = sampler.next_1d() < survival
            throughput = dr.select(roulette, throughput * dr.rcp(survival), throughput)
            active = go_on & (brightest != 0.0) & (~roulette | survived)

        return layers, albedo, normal

    def receive(self, sampler: Any, point: Any, normal: Any) -> list[Any]:
        """One sample of the illuminance by layer on flat receptors at `point` facing `normal`.

        Lamps are sampled for their own sake; the rest arrives along a cosine-spread ray on
        which lamps met directly count nothing.
        """
        si = dr.zeros(mi.SurfaceInteraction3f, dr.width(point))
        si.p, si.n, si.t = point, normal, mi.Float(1.0)
        si.sh_frame = mi.Frame3f(normal)
        local = mi.warp.square_to_cosine_hemisphere(sampler.next_2d())
        ray = mi.Ray3f(point, si.sh_frame.to_world(local))
        bounced, _, _ = self.trace(sampler, ray, mi.Bool(True), False)
        layers = [layer * dr.pi for layer in bounced]
        # To trace a path costs far more than to sample a lamp, and most of the noise comes from
        # sampling lamps.
        for _ in range(DIRECT_LOOKS):
            ds, weight, usable = self._sample_lamp(si, sampler.next_2d(), mi.Bool(True))
            cosine = dr.maximum(dr.dot(ds.d, normal), 0.0) / DIRECT_LOOKS
            usable &= cosine > 0.0
            number = dr.reinterpret_array(mi.UInt32, ds.emitter)
            direct = weight * cosine * self._factor(number, -dr.dot(ds.d, ds.n), ds.d, usable)
            layers = self._shared_out(layers, direct, number, usable)
        if self._sun is None:
            return layers
        towards, light, number, usable = self._sun.sample(si, sampler.next_2d(), mi.Bool(True))
        cosine = dr.maximum(dr.dot(towards, normal), 0.0)
        return self._shared_out(layers, light * cosine, number, usable)


def render_pass(
    paths: LayeredPaths,
    sensor: Any,
    size: tuple[int, int],
    part: Part,
    samples: int,
    seed: int,
    total: Any,
) -> None:
    """Add `samples` paths in the square of each pixel of `part` to `total`, in place.

    `total` is a flat Float of the part's height x width x (3 x layers + 6); the last six channels
    are albedo and normal. Memory does not grow with `samples`: the compiled kernel adds every
    path to its pixel as it goes. Paths are numbered through the whole picture of `size`, so that
    those of a part are the same; outside of it they end before they begin.
    """
    count = size[0] * size[1] * samples
    # Kept out of the kernel's text: one kernel serves all sizes.
    width, height = (dr.opaque(mi.UInt32, side) for side in size)
    sampler = _seeded(seed, count)
    pixel = dr.arange(mi.UInt32, count) // dr.opaque(mi.UInt32, samples)
    row = pixel // width
    column = pixel - row * width
    position = (mi.Point2f(column, row) + sampler.next_2d()) / mi.Point2f(width, height)
    ray, _ = sensor.sample_ray(0.0, 0.5, position, sampler.next_2d())
    pixel_rad = dr.opaque(mi.Float, pixel_angle_rad(sensor, size[0]))
    left, top, across, down = (dr.opaque(mi.UInt32, value) for value in astuple(part))
    # What lies left of the part or above it wraps round to a large number.
    inside = (column - left < across) & (row - top < down)
    layers, albedo, normal = paths.trace(sampler, ray, inside, True, pixel_rad)
    # The previous pass was computed while this one was recorded. Wait for it, so that there are
    # never more than two under way.
    dr.sync_thread()
    _gather((row - top) * across + column - left, [*layers, albedo, normal], total, inside)


def pixel_angle_rad(sensor: Any, width_px: int) -> float:
    """Angle between two neighbouring pixels in the middle of the picture."""
    half_rad = math.radians(float(mi.traverse(sensor)["x_fov"][0])) / 2.0
    return 2.0 * math.tan(half_rad) / width_px


def meter_pass(
    paths: LayeredPaths,
    points: NDArray[np.float64],
    normals: NDArray[np.float64],
    samples: int,
    seed: int,
) -> NDArray[np.float32]:
    """Sum of `samples` estimates of illuminance at each point: (points, layers, 3)."""
    count = len(points)
    sampler = _seeded(seed, count * samples)
    index = dr.arange(mi.UInt32, count * samples) // samples
    point = dr.gather(mi.Point3f, mi.Float(aligned(points, np.float32)), index)
    normal = dr.gather(mi.Normal3f, mi.Float(aligned(normals, np.float32)), index)
    layers = paths.receive(sampler, point, normal)
    total = dr.opaque(mi.Float, 0.0, count * paths.layer_count * 3)
    _gather(index, layers, total, mi.Bool(True))
    return np.asarray(total.numpy(), np.float32).reshape(count, -1, 3)


def _seeded(seed: int, size: int) -> Any:
    """A sampler; its seed is kept out of the kernel's text so that no pass compiles anew."""
    sampler = load({"type": "independent"})
    sampler.seed(dr.opaque(mi.UInt32, seed), size)
    return sampler


def _gather(index: Any, values: Sequence[Any], total: Any, active: Any) -> None:
    channels = [value[i] for value in values for i in range(3)]
    # A card adds faster one by one than by first adding up among neighbours.
    mode = dr.ReduceMode.Direct if "cuda" in mi.variant() else dr.ReduceMode.Auto
    for offset, channel in enumerate(channels):
        # A path that met a numerical accident must not black out its pixel for ever.
        sound = dr.select(dr.isfinite(channel), channel, 0.0)
        dr.scatter_add(total, sound, index * len(channels) + offset, active, mode=mode)
    dr.eval(total)
