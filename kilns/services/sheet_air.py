"""The air part of a kiln sheet: what the stack needs, what the fans give, the dehumidifier against the day's water."""

from dataclasses import dataclass

from kilns.models import DeviceKind
from kilns.physics.airflow import SpeedAdvice, WorkingPoint, air_needed_cfm, speed_advice, working_point
from kilns.physics.dehumidifier import WaterCheck, water_check
from kilns.physics.working_air import working_air_needed, working_dehumidifier, working_speed
from kilns.services.kiln_boxes import fans_curve
from kilns.services.sheet_asked import Question
from kilns.services.sheet_figure import Figure, figure


@dataclass(frozen=True)
class AirNeed:
    """The air that a stack needs for the usual speeds of such a kiln."""

    advice: SpeedAdvice
    open_area_ft2: float
    low_cfm: float
    high_cfm: float


@dataclass(frozen=True)
class FanSpeed:
    """Where fans and stack meet, and what the usual speeds say of it: slow, usual or fast."""

    point: WorkingPoint
    says: str


def advice_of(question: Question) -> SpeedAdvice:
    """The usual speeds: of solar kilns where only the sun heats, of dehumidifying kilns else."""
    return speed_advice("dehumidifying" if question.box.heater_w or question.box.dehumidifier else "solar")


def air_need(question: Question) -> Figure:
    """The air volume for the largest stack of the thickness asked."""
    if question.fit is None:
        return Figure(refusal="Not two courses of that thickness fit: there is no gap for the air.")
    advice, area = advice_of(question), question.fit.open_area_ft2
    return figure(
        lambda: AirNeed(advice, area, air_needed_cfm(area, advice.low_fpm), air_needed_cfm(area, advice.high_fpm)),
        lambda: working_air_needed(area, advice.low_fpm),
    )


def fan_speed(question: Question) -> Figure:
    """The speed that the fans give through that stack; a refusal in words without fans or without their points."""
    fit = question.fit
    if fit is None:
        return Figure(refusal="There is no stack to blow through.")
    if not question.build.of_kind(DeviceKind.FAN):
        return Figure(refusal="No fans are on the sheet.")

    def made() -> FanSpeed | None:
        curve = fans_curve(question.build)
        if curve is None:
            return None
        point = working_point(curve, 1, fit.open_area_ft2)
        return FanSpeed(point, advice_of(question).says(point.speed_fpm))

    found = figure(made)
    if found.value is None:
        return found if found.refusal else Figure(refusal="Add the fans' points of pressure and air from their maker.")
    return Figure(found.value, working_speed(found.value.point.air_cfm, fit.open_area_ft2))


def water_of_the_day(question: Question) -> Figure:
    """The load's water in a day against what the dehumidifier takes out of the drying step's air."""
    unit, asked = question.box.dehumidifier, question.asked
    if unit is None:
        return Figure(refusal="No dehumidifier is on the sheet: the vents carry all the water.")

    def made() -> WaterCheck:
        return water_check(question.load, question.loss_pct_per_day, unit, asked.drying_f, asked.drying_rh_pct)

    return figure(made, lambda: working_dehumidifier(unit, asked.drying_f, asked.drying_rh_pct))
