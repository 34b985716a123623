"""The permission table of the kilns' pages; `yard/access.py` says how it works."""

from yard import access

TABLE: dict[str, access.Row] = {}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
