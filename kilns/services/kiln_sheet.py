"""The whole sheet of a kiln for one question: what it can promise, in numbers, each with its working."""

from dataclasses import dataclass

from kilns.models import Kiln
from kilns.physics.kiln_box import OverLimit
from kilns.services.sheet_air import air_need, fan_speed, water_of_the_day
from kilns.services.sheet_asked import Asked, Question, question_of
from kilns.services.sheet_figure import Figure, figure
from kilns.services.sheet_heat import (
    barrier_lines,
    loss_lines,
    power_figure,
    promise_lines,
    warm_up_figure,
    winter_lines,
)
from kilns.services.sheet_power import CircuitLine, circuit_lines, electric_caution, loose_devices
from kilns.services.sheet_sun import collector_figure, sun_year
from kilns.services.stack_fits import StackFit, stack_fits
from yard.models import Yard


@dataclass(frozen=True)
class KilnSheet:
    """Every figure of the page."""

    question: Question
    promises: Figure
    too_hot: tuple[tuple[float, OverLimit], ...]
    losses: Figure
    power: Figure
    winter: Figure
    warm_up: Figure
    barriers: list[str]
    fits: list[StackFit]
    air: Figure
    fans: Figure
    water: Figure
    sun: Figure
    collector: Figure
    circuits: list[CircuitLine]
    loose: list
    caution: str


def kiln_sheet(kiln: Kiln, asked: Asked, yard: Yard) -> Figure:
    """Return the KilnSheet as a Figure; a refusal where the build itself cannot be reckoned with."""
    found = figure(lambda: question_of(kiln, asked, yard))
    return Figure(_sheet(kiln, found.value), None) if found.value else found


def _sheet(kiln: Kiln, question: Question) -> KilnSheet:
    promised = promise_lines(question)
    hot = [(line.promise.inside_f, one) for line in promised.value or () for one in line.promise.too_hot]
    return KilnSheet(
        question=question, promises=promised, too_hot=tuple(hot), losses=loss_lines(question),
        power=power_figure(question), winter=winter_lines(question), warm_up=warm_up_figure(question),
        barriers=barrier_lines(question), fits=stack_fits(kiln), air=air_need(question), fans=fan_speed(question),
        water=water_of_the_day(question), sun=sun_year(question), collector=collector_figure(question),
        circuits=circuit_lines(question.build), loose=loose_devices(question.build), caution=electric_caution(),
    )  # fmt: skip
