"""The permission table of pages without log-in; the private link or the owner's switch is the key to each."""

from yard import access
from yard.access import ANYONE, row

TABLE: dict[str, access.Row] = {
    "outside:buyer-quote": row(get=ANYONE),  # the secret in the address is the key
    "outside:buyer-quote-pdf": row(get=ANYONE),
}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
