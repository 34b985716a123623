"""Weather files kept and taken away. Only this module writes their tables."""

from django.db import transaction

from yard.models import Person, WeatherDay, WeatherFile, Yard
from yard.services.air_changed import weather_changed
from yard.services.bulk_rows import rows_insert
from yard.services.history import history_add
from yard.services.refused import Refused
from yard.services.weather_preview import WeatherPreview
from yard.services.yard_settings import yard_usual_year


class CannotKeepWeather(Refused):
    """These days cannot stand for the yard's weather."""


@transaction.atomic
def weather_file_keep(*, preview: WeatherPreview, by: Person | None) -> WeatherFile:
    """Keep the days of a file that was looked at; on a day that several files have, the newest file counts.

    Errors: CannotKeepWeather for a typical year, which is no year that wood has stood in.
    """
    if not preview.may_keep:
        raise CannotKeepWeather(
            "A typical year is put together from months of different years: your wood never stood in it. "
            "It can be the usual year, which fills the days that nobody measured."
        )
    place = preview.read.place
    file = WeatherFile.objects.create(
        name=preview.name[:200],
        format=preview.read.format,
        station=" ".join(part for part in (place.name, place.station) if part)[:200],
        first_day=preview.first,
        last_day=preview.last,
        days_read=len(preview.days),
        days_missing=preview.missing,
        warnings=list(preview.read.warnings),
        by=by,
    )
    rows = [{"day": day.day, "temp_f": day.temp_f, "rh_pct": day.rh_pct} for day in preview.days]
    rows_insert(WeatherDay, rows, file_id=file.pk)
    history_add(file, by=by, action="read", note=f"{len(rows)} days, {file.first_day} to {file.last_day}")
    weather_changed(first=preview.first, last=preview.last)
    return file


@transaction.atomic
def weather_file_remove(*, file: WeatherFile, by: Person | None) -> None:
    """Take a file and its days away; its days are then those of older files, else of the usual year."""
    history_add(file, by=by, action="removed", note=f"{file.days_read} days, {file.first_day} to {file.last_day}")
    first, last = file.first_day, file.last_day
    file.delete()
    if first and last:
        weather_changed(first=first, last=last)


def usual_year_keep(*, preview: WeatherPreview, by: Person | None) -> Yard:
    """Let a file's months be the yard's usual year, in place of the built-in one. Errors: CannotKeepWeather."""
    climate = preview.usual_year
    if climate is None:
        raise CannotKeepWeather(f"No usual year can be made of it: {preview.why_no_usual_year}")
    months = [[round(month.temp_f, 2), round(month.rh_pct, 2)] for month in climate]
    return yard_usual_year(by=by, climate={"label": climate.label, "months": months})


def usual_year_drop(*, by: Person | None) -> Yard:
    """Go back to the built-in usual year of the yard's place."""
    return yard_usual_year(by=by, climate={})
