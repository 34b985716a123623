"""What a sensor or a hub posts, read: one reading or many, each with a time and what was measured.

The names and limits here are what the description at `/api/` promises.
"""

import json
import math
from datetime import UTC, datetime, timedelta
from typing import Any

from yard.services.posted_readings import PostedReading, Refusal
from yard.services.readings import ReadingIn
from yard.wood.units import f_from_c

MOST_BYTES = 10 * 1024 * 1024
MOST_READINGS = 100_000
EARLIEST = datetime(2010, 1, 1, tzinfo=UTC)  # a clock that lost its battery begins in 1970 or 2000
AHEAD = timedelta(minutes=10)  # a clock may be ahead of the yard's by so much (our own limit)
COLDEST_F, HOTTEST_F = -76.0, 266.0  # -60 and 130 °C: what a sensor in a yard or a kiln can mean (our own limit)
BULBS_APART_F = 2.0  # °F: a wet bulb this far above the dry one is no scatter (our own limit)
TEMPERATURES = {"temp": "dry bulb", "wet_bulb": "wet bulb", "core": "core"}
NAMES = {"sensor", "time", "rh_pct", *(f"{name}_{unit}" for name in TEMPERATURES for unit in "fc")}


class NotUnderstood(ValueError):  # noqa: N818 - reads as the sentence it is
    """What was posted is no message, or no reading, of the form described."""


def read_message(body: bytes) -> list[Any]:
    """The readings of a message, not looked at one by one yet. Errors: NotUnderstood."""
    try:
        raw = json.loads(body.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        raise NotUnderstood("The message is not UTF-8 text.") from None
    except (ValueError, RecursionError) as error:
        raise NotUnderstood(f"The message is not JSON: {error}.") from None
    if isinstance(raw, dict):
        raw = raw.get("readings", [raw])
    if not isinstance(raw, list):
        raise NotUnderstood('Send one reading, a list of readings, or {"readings": [...]}.')
    if len(raw) > MOST_READINGS:
        raise NotUnderstood(f"{len(raw):,} readings at once are too many: send at most {MOST_READINGS:,}.")
    return raw


def read_readings(raws: list[Any], now: datetime) -> tuple[list[PostedReading], list[Refusal]]:
    """All readings of a message: those that can be, and those that cannot with why."""
    good, refused = [], []
    for place, raw in enumerate(raws, 1):
        try:
            good.append(read_reading(raw, now, place))
        except NotUnderstood as error:
            told = raw if isinstance(raw, dict) else {}
            refused.append(Refusal(place, str(told.get("sensor", ""))[:40], str(told.get("time", ""))[:40], str(error)))
    return good, refused


def read_reading(raw: Any, now: datetime, place: int = 1) -> PostedReading:
    """One reading of a message. Errors: NotUnderstood, with what to do about it."""
    if not isinstance(raw, dict):
        raise NotUnderstood("a reading is an object such as {\"time\": ..., \"temp_f\": ...}")
    unknown = sorted(str(name)[:40] for name in raw.keys() - NAMES)
    if unknown:
        raise NotUnderstood(f"unknown: {', '.join(unknown[:5])}; a reading has {', '.join(sorted(NAMES))}")
    code = raw.get("sensor", "")
    if not isinstance(code, str):
        raise NotUnderstood("sensor is its code, such as \"K7MPQ2\"")
    values = {f"{name}_f": _temperature(raw, name, words) for name, words in TEMPERATURES.items()}
    values["rh_pct"] = _humidity(raw)
    if all(value is None for value in values.values()):
        raise NotUnderstood("nothing was measured: give a temperature, rh_pct, or both")
    _check_bulbs(values["temp_f"], values["wet_bulb_f"])
    return PostedReading(place, code.strip().upper(), ReadingIn(at=_time(raw.get("time"), now), **values))


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number; leave out what was not measured")


def _time(raw: Any, now: datetime) -> datetime:
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        at = _epoch(raw)
    elif isinstance(raw, str):
        at = _stamp(raw)
    else:
        raise NotUnderstood("time is missing: ISO 8601 with its offset from UTC, or seconds since 1970")
    if at > now + AHEAD:
        ahead = round((at - now).total_seconds() / 60)
        raise NotUnderstood(
            f"its time, {at:%Y-%m-%d %H:%M} UTC, is {ahead:,} min ahead of the yard's clock: set the sensor's clock"
        )
    if at < EARLIEST:
        raise NotUnderstood(f"its time, {at:%Y-%m-%d %H:%M} UTC, is that of a clock that was reset: set it")
    return at


def _epoch(raw: float) -> datetime:
    try:
        seconds = raw / 1000 if abs(raw) > 1e11 else raw  # so large a number counts thousandths of a second
        return datetime.fromtimestamp(seconds, UTC)
    except (ValueError, OverflowError, OSError):
        raise NotUnderstood(f"time {str(raw)[:20]} is no count of seconds since 1970") from None


def _stamp(raw: str) -> datetime:
    try:
        at = datetime.fromisoformat(raw.strip())
    except ValueError:
        raise NotUnderstood(f"time {raw[:40]!r} is not ISO 8601, such as 2026-11-03T14:05:00-06:00") from None
    if at.tzinfo is None:
        raise NotUnderstood(f"time {raw[:40]!r} has no offset from UTC: end it with Z, or with one such as -06:00")
    try:
        return at.astimezone(UTC)
    except OverflowError:
        raise NotUnderstood(f"time {raw[:40]!r} is beyond any calendar") from None


def _temperature(raw: dict[str, Any], name: str, words: str) -> float | None:
    in_f, in_c = _number(raw, f"{name}_f"), _number(raw, f"{name}_c")
    if in_f is not None and in_c is not None:
        raise NotUnderstood(f"give {name}_f or {name}_c, not both")
    value = in_f if in_c is None else float(f_from_c(in_c))
    if value is not None and not COLDEST_F <= value <= HOTTEST_F:
        typed = f"{in_f:g} °F" if in_c is None else f"{in_c:g} °C"
        raise NotUnderstood(f"{words} {typed} is outside {COLDEST_F:g} to {HOTTEST_F:g} °F (-60 to 130 °C)")
    return value


def _humidity(raw: dict[str, Any]) -> float | None:
    value = _number(raw, "rh_pct")
    if value is not None and not 0 <= value <= 105:
        raise NotUnderstood(f"rh_pct {value:g} is outside 0 to 100")
    return None if value is None else min(value, 100.0)  # a sensor in fog may show a little more than all


def _number(raw: dict[str, Any], name: str) -> float | None:
    value = raw.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise NotUnderstood(f"{name} is a number, not {str(value)[:20]!r}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise NotUnderstood(f"{name} is no number that can be measured")
    return number


def _check_bulbs(dry_f: float | None, wet_f: float | None) -> None:
    if dry_f is not None and wet_f is not None and wet_f > dry_f + BULBS_APART_F:
        raise NotUnderstood(f"the wet bulb ({wet_f:.0f} °F) is above the dry bulb ({dry_f:.0f} °F): are they swapped?")
