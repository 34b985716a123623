"""The permission table of the pages of selling; `yard/access.py` says how it works.

Prices, orders and money are the owner's; a hand picks, scans and sees what goes where; a viewer sees the wood alone.
"""

from yard import access

TABLE: dict[str, access.Row] = {}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
