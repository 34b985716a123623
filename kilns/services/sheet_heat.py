"""The heat part of a kiln sheet: promises, losses, the winter chart, warming up, what gets too hot."""

from dataclasses import dataclass, replace

from kilns.models import Part
from kilns.physics.heat_balance import (
    COLDEST_F,
    HOTTEST_F,
    NO_WATER,
    HeldTemperature,
    Water,
    heat_flows,
    power_needed_w,
    temperature_held,
)
from kilns.physics.kiln_box import BTUH_PER_W, KilnBox
from kilns.physics.kiln_sheet import Promise, promises, vent_cfm
from kilns.physics.walls import barrier_advice
from kilns.physics.warm_up import warm_up
from kilns.physics.working_heat import working_held, working_lowest_outdoor, working_wall_loss, working_warm_up
from kilns.services.sheet_asked import Question
from kilns.services.sheet_figure import Figure, figure
from yard.wood.ranges import OutsideRange
from yard.wood.working import Working

WINTER_FS = tuple(range(-30, 71, 10))
# °F outdoors of the chart and its table (our own choice)


@dataclass(frozen=True)
class PromiseLine:
    """A promise with its working; `anywhere` when it holds at any outdoor temperature that the balance is asked for."""

    promise: Promise
    working: Working
    vent_cfm: float

    @property
    def anywhere(self) -> bool:
        """Whether no winter is too cold."""
        return self.promise.lowest_outdoor.temp_f <= COLDEST_F


@dataclass(frozen=True)
class LossLine:
    """What one way out takes at the temperatures asked, and its share of all."""

    name: str
    area_ft2: float | None
    r_value: float | None
    watts: float
    share_pct: float


@dataclass(frozen=True)
class WinterLine:
    """One outdoor temperature: the hottest that the kiln holds with dry wood, and the heater power to do its work."""

    outdoor_f: float
    held: HeldTemperature
    drying_w: float
    sanitising_w: float

    @property
    def beyond(self) -> bool:
        """Whether it could go hotter than the balance is asked for."""
        return self.held.temp_f >= HOTTEST_F


def promise_lines(question: Question) -> Figure:
    """Dry at one temperature, sanitise at another: down to which outdoor temperature, each with its working."""
    asked = question.asked

    def made() -> tuple[PromiseLine, ...]:
        found = promises(
            question.box, question.load, question.loss_pct_per_day, drying_f=asked.drying_f,
            drying_rh_pct=asked.drying_rh_pct, sanitising_f=asked.sanitising_f,
        )  # fmt: skip
        return tuple(_promise_line(question, one) for one in found)

    return figure(made)


def _promise_line(question: Question, promise: Promise) -> PromiseLine:
    by_vents = promise.water.evaporated_lb_per_h - promise.water.condensed_lb_per_h
    air_cfm = 0.0
    if by_vents > 0.0:
        outdoor = promise.lowest_outdoor.temp_f
        air_cfm = vent_cfm(by_vents, promise.inside_f, question.asked.drying_rh_pct, outdoor)
    vented = replace(question.box, vent_cfm=air_cfm)
    return PromiseLine(promise, working_lowest_outdoor(vented, promise.inside_f, promise.water), air_cfm)


def loss_lines(question: Question) -> Figure:
    """Where the heat goes while the kiln dries, surface by surface, the largest first."""
    asked, box = question.asked, replace(question.box, vent_cfm=0.0)
    apart = asked.drying_f - asked.outdoor_f

    def made() -> tuple[LossLine, ...]:
        flows = heat_flows(box, asked.drying_f, asked.outdoor_f)
        rows = [(one.name, one.area_ft2, one.r_value(), one.ua_btuh_f() * apart) for one in box.surfaces]
        rows.append(("air that leaks in", None, None, flows.air))
        whole = flows.loss_btuh or 1.0
        lines = [LossLine(name, area, r, btuh / BTUH_PER_W, 100.0 * btuh / whole) for name, area, r, btuh in rows]
        return tuple(sorted(lines, key=lambda line: -line.watts))

    return figure(made, lambda: working_wall_loss(box, asked.drying_f, asked.outdoor_f))


def power_figure(question: Question) -> Figure:
    """The heater power that holds the drying temperature at the outdoor temperature asked, dry wood [W]."""
    asked, box = question.asked, replace(question.box, vent_cfm=0.0)
    return figure(lambda: power_needed_w(box, asked.drying_f, asked.outdoor_f))


def winter_lines(question: Question) -> Figure:
    """What the kiln holds over a winter's outdoor temperatures, and what power its two jobs take there."""

    def made() -> tuple[WinterLine, ...]:
        promised = promise_lines(question).value
        water = promised[0].promise.water if promised else NO_WATER
        return tuple(_winter_line(question, float(outdoor), water) for outdoor in WINTER_FS)

    box = replace(question.box, vent_cfm=0.0)
    return figure(made, lambda: working_held(box, question.asked.outdoor_f))


def _winter_line(question: Question, outdoor_f: float, water: Water) -> WinterLine:
    asked, shut = question.asked, replace(question.box, vent_cfm=0.0)
    return WinterLine(
        outdoor_f,
        temperature_held(shut, outdoor_f),
        power_needed_w(_vented(question, outdoor_f, water), asked.drying_f, outdoor_f, water),
        power_needed_w(shut, asked.sanitising_f, outdoor_f),
    )


def _vented(question: Question, outdoor_f: float, water: Water) -> KilnBox:
    """The box with its vents as open as the water asks that is not caught, at the drying step's air."""
    by_vents = water.evaporated_lb_per_h - water.condensed_lb_per_h
    if by_vents <= 0.0:
        return replace(question.box, vent_cfm=0.0)
    try:
        air_cfm = vent_cfm(by_vents, question.asked.drying_f, question.asked.drying_rh_pct, outdoor_f)
    except OutsideRange:
        air_cfm = question.box.vent_cfm
    return replace(question.box, vent_cfm=air_cfm)


def warm_up_figure(question: Question) -> Figure:
    """How long the load takes to the sanitising temperature, from the outdoor temperature asked."""
    asked, box = question.asked, replace(question.box, vent_cfm=0.0)
    told = (box, question.load, asked.outdoor_f, asked.sanitising_f, asked.outdoor_f)
    return figure(lambda: warm_up(*told), lambda: working_warm_up(*told))


def barrier_lines(question: Question) -> list[str]:
    """What to know of the vapour barriers; glazing is its own."""
    pairs = zip(question.box.surfaces, question.build.surfaces, strict=True)
    advice = [barrier_advice(one) for one, told in pairs if told.part != Part.GLAZING]
    return [words for words in advice if words]
