"""People and the one-time links that let them in: the only module that writes both tables."""

from yard.models import Person


def choices_change(*, person: Person, first_name: str, last_name: str, units: str, theme: str) -> None:
    """Keep what a person chose for themselves."""
    person.first_name, person.last_name, person.units, person.theme = first_name, last_name, units, theme
    person.save(update_fields=["first_name", "last_name", "units", "theme"])
