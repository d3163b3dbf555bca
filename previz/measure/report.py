"""The report on a scene: numbers under the names other tools rely on, and findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from previz.measure.light.light import LightNumbers, light_numbers
from previz.measure.light.spectacles import Veil
from previz.measure.light.spots import Spot, SpotLight, read_spot
from previz.measure.measured import Measured, measure
from previz.measure.rules.cloth import cloth_findings
from previz.measure.rules.darkness import darkness_findings
from previz.measure.rules.delivery import delivery_findings
from previz.measure.rules.exposure import exposure_findings
from previz.measure.rules.findings import Finding, in_order
from previz.measure.rules.floor import floor_findings
from previz.measure.rules.frame import frame_findings
from previz.measure.rules.key import key_findings
from previz.measure.rules.lens import lens_findings
from previz.measure.rules.lights import light_findings
from previz.measure.rules.mirrors import mirror_findings
from previz.measure.rules.moves import move_findings
from previz.measure.rules.pair import pair_findings
from previz.measure.rules.power import power_findings
from previz.measure.rules.safety import safety_findings
from previz.measure.rules.scan import scan_findings
from previz.measure.rules.sound import sound_findings
from previz.measure.rules.spectacles import spectacle_findings, spectacle_veils
from previz.measure.rules.spill import spill_findings
from previz.model.meters import Targets
from previz.model.rules import Rules
from previz.render.readings import Readings
from previz.stage.stage import Stage


@dataclass(frozen=True, eq=False)
class Report:
    """What was measured, and what to know of it; faults first. `light` None: not read.

    `spectacles`, by camera: lights mirrored in lenses; `spots`: what was asked to be read.
    """

    measured: Measured
    findings: tuple[Finding, ...]
    light: LightNumbers | None = None
    spectacles: Mapping[str, tuple[Veil, ...]] = field(default_factory=dict)
    spots: tuple[SpotLight, ...] = ()

    @property
    def has_fault(self) -> bool:
        """Whether any finding is a fault."""
        return any(finding.severity == "fault" for finding in self.findings)


def measure_set(
    stage: Stage,
    rules: Rules,
    targets: Targets,
    readings: Readings | None = None,
    spots: Sequence[Spot] = (),
) -> Report:
    """Measure and judge a set; its light, and `spots` of it, where it was read. Renders nothing.

    ValueError for a spot in a camera that is not there.
    """
    measured = measure(stage, rules, targets)
    veils = spectacle_veils(stage)
    findings = [
        *darkness_findings(stage),
        *frame_findings(measured),
        *delivery_findings(measured),
        *pair_findings(measured),
        *lens_findings(measured),
        *cloth_findings(measured),
        *floor_findings(measured),
        *key_findings(measured),
        *light_findings(measured),
        *mirror_findings(measured),
        *move_findings(measured),
        *power_findings(measured),
        *safety_findings(measured),
        *scan_findings(stage),
        *sound_findings(measured),
        *spill_findings(measured),
        *spectacle_findings(measured, veils),
    ]
    light, read = None, []
    if readings is not None:
        read = [read_spot(spot, stage, readings) for spot in spots]
        light = light_numbers(stage, readings)
        findings += exposure_findings(measured, light)
    return Report(measured, in_order(findings), light, veils, tuple(read))
