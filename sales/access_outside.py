"""The permission table of pages without log-in; the private link or the owner's switch is the key to each."""

from yard import access
from yard.access import ANYONE, row

TABLE: dict[str, access.Row] = {
    "outside:buyer-quote": row(get=ANYONE),  # the secret in the address is the key
    "outside:buyer-quote-pdf": row(get=ANYONE),
    # the owner's switch in "How we sell" opens these; closed they answer 404 to strangers
    "outside:for-sale": row(get=ANYONE),
    "outside:for-sale-slab": row(get=ANYONE),
    "outside:for-sale-photo-small": row(get=ANYONE),
    "outside:for-sale-photo-large": row(get=ANYONE),
    "outside:for-sale-feed": row(get=ANYONE),
}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
