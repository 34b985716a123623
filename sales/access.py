"""The permission table of the pages of selling; `yard/access.py` says how it works.

An owner sets prices, quotes, accepts, invoices and takes money. A hand sees orders and prices, since buyers ask at the
gate, takes inquiries, picks, and lets wood go. A viewer sees the wood, but no buyer and no money.
"""

from yard import access
from yard.access import OWNERS, WORKERS, row

TABLE: dict[str, access.Row] = {
    # prices
    "sales:prices": row(get=WORKERS),
    "sales:price-try": row(get=WORKERS),
    "sales:price-new": row(get=OWNERS, post=OWNERS),
    "sales:price-rule": row(get=OWNERS, post=OWNERS),
    "sales:price-end": row(post=OWNERS),
    # orders and their lines
    "sales:orders": row(get=WORKERS),
    "sales:order-new": row(get=WORKERS, post=WORKERS),
    "sales:order-page": row(get=WORKERS),
    "sales:order-edit": row(get=OWNERS, post=OWNERS),
    "sales:order-slabs": row(post=WORKERS),
    "sales:order-asked": row(get=WORKERS, post=WORKERS),
    "sales:order-other": row(get=OWNERS, post=OWNERS),
    "sales:order-work": row(post=WORKERS),
    "sales:order-price-anew": row(post=OWNERS),
    "sales:order-measure-anew": row(post=OWNERS),
    "sales:line-edit": row(get=OWNERS, post=OWNERS),
    "sales:line-off": row(post=WORKERS),
    "sales:line-replace": row(get=WORKERS, post=WORKERS),
    # steps of an order
    "sales:order-quote": row(get=OWNERS, post=OWNERS),
    "sales:order-promise": row(post=WORKERS),
    "sales:match": row(get=WORKERS),
    "sales:match-order": row(post=WORKERS),
    "sales:promises": row(get=WORKERS),
    "sales:order-take-back": row(post=OWNERS),
    "sales:order-yes": row(post=OWNERS),
    "sales:order-pick": row(get=WORKERS, post=WORKERS),
    "sales:line-unpick": row(post=WORKERS),
    "sales:order-go": row(get=WORKERS, post=WORKERS),
    "sales:order-invoice": row(post=OWNERS),
    "sales:order-credit": row(get=OWNERS, post=OWNERS),
    "sales:order-off": row(get=OWNERS, post=OWNERS),
    "sales:order-pay": row(get=OWNERS, post=OWNERS),
    "sales:payment-void": row(get=OWNERS, post=OWNERS),
    "sales:document-page": row(get=WORKERS),
    "sales:document-pdf": row(get=WORKERS),
    "sales:order-links": row(get=OWNERS, post=OWNERS),
    "sales:order-link-withdraw": row(post=OWNERS),
    # what buyers like to be told of
    "sales:wishes": row(get=WORKERS),
    "sales:wish-new": row(get=WORKERS, post=WORKERS),
    "sales:wish": row(get=WORKERS, post=WORKERS),
    "sales:wish-close": row(post=WORKERS),
    # looking back
    "sales:reports": row(get=OWNERS),
    "sales:reports-stock": row(get=OWNERS),
    "sales:reports-unpaid": row(get=OWNERS),
    "sales:reports-export": row(get=OWNERS),
    "sales:sale-settings": row(get=OWNERS, post=OWNERS),
}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
