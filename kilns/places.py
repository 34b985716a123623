"""The kilns' places in the menus; `yard/nav.py` says how they are shown."""

from yard import nav
from yard.nav import Place

PLACES = (
    Place("Kilns", "kilns:kilns", "What each kiln is made of, and what it can promise"),
    Place("Alarms", "kilns:alarms", "What goes wrong or is due in the kilns"),
    Place("Runs", "kilns:runs", "What goes on in the kilns, what is planned, and what came out"),
    Place("Schedules", "kilns:schedules", "Drying schedules by wood and thickness, and the yard's own"),
)


def join() -> None:
    """Let the yard's menus know these places."""
    nav.register("Kilns", PLACES)
