"""The places of selling in the menus; `yard/nav.py` says how they are shown."""

from yard import nav
from yard.nav import Place

PLACES: tuple[Place, ...] = ()


def join() -> None:
    """Let the yard's menus know these places."""
    nav.register("Selling", PLACES)
