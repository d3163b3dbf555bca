"""The measuring thread, and the light as meters read it: numbers and findings for the pages."""

from __future__ import annotations

from collections.abc import Callable

from previz.api.light import read_light
from previz.api.measuring import measure_scene
from previz.api.opening import OpenScene
from previz.errors import MissingError, PrevizError
from previz.measure.report import Report
from previz.telling.page import facts_json
from previz.watch.jobs import Hearer, Job
from previz.watch.latest import Latest, Overtaken
from previz.watch.work import Work

QUIET_S = 0.4
"""Measuring takes a processor for a second or two: not while somebody turns a knob."""
Measure = Callable[[OpenScene], Report]


class Measurer:
    """Measures each job once nothing moves."""

    def __init__(self, jobs: Latest[Job], hearer: Hearer, measure: Measure) -> None:
        self._jobs, self._hearer, self._measure = jobs, hearer, measure

    def run(self) -> None:
        """Measure what is newest, until the end."""
        told: object = None
        while (job := self._jobs.take()) is not None:
            if job.opened is told or not job.view.width_px or not self._jobs.quiet(QUIET_S):
                continue
            try:
                report = self._measure(job.opened)
            except PrevizError as error:
                self._hearer.tell("said", {"text": str(error), "urgent": False})
                continue
            if not self._jobs.overtaken:
                told = job.opened
                self._hearer.tell("facts", {"version": job.version, **facts_json(report)})


class LightReader:
    """Reads the meters on the tracing thread, once for each version of the scene."""

    def __init__(self, hearer: Hearer) -> None:
        self._hearer = hearer
        self._told: OpenScene | None = None

    def __call__(self, job: Job, work: Work, jobs: Latest[Job]) -> None:
        """Tell numbers and findings with the light in them. Raises Overtaken."""
        if job.opened is self._told:
            return
        try:
            with work.renderer:
                read_light(job.opened, None, work.shown(lambda: jobs.overtaken))
            report = measure_scene(job.opened, light=True)
        except MissingError:
            return  # a back end without meters: the page goes without light in numbers
        if jobs.overtaken:
            raise Overtaken
        self._told = job.opened
        self._hearer.tell("facts", {"version": job.version, **facts_json(report)})
