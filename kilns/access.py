"""The permission table of the kilns' pages; `yard/access.py` says how it works."""

from yard import access
from yard.access import ANYONE, EVERYBODY, OWNERS, WORKERS, row

TABLE: dict[str, access.Row] = {
    # kilns and their sheets
    "kilns:kilns": row(get=EVERYBODY),
    "kilns:kiln-new": row(get=OWNERS, post=OWNERS),
    "kilns:kiln-page": row(get=EVERYBODY),
    "kilns:kiln-edit": row(get=OWNERS, post=OWNERS),
    "kilns:kiln-close": row(post=OWNERS),
    "kilns:kiln-equipment": row(get=OWNERS, post=OWNERS),
    "kilns:kiln-surface-new": row(get=OWNERS, post=OWNERS),
    "kilns:surface-edit": row(get=OWNERS, post=OWNERS),
    "kilns:surface-remove": row(post=OWNERS),
    # charges and runs
    "kilns:charge-page": row(get=EVERYBODY, post=WORKERS),
    "kilns:runs": row(get=EVERYBODY),
    "kilns:run-page": row(get=EVERYBODY),
    "kilns:run-start": row(post=WORKERS),
    "kilns:run-go-on": row(post=WORKERS),
    "kilns:run-give-up": row(post=WORKERS),
    "kilns:run-condensate": row(post=WORKERS),
    "kilns:run-energy": row(post=WORKERS),
    "kilns:run-note": row(post=WORKERS),
    "kilns:run-prong": row(post=WORKERS),
    "kilns:run-record-out": row(post=WORKERS),
    "kilns:run-sanitise": row(get=EVERYBODY, post=WORKERS),
    "kilns:run-final": row(get=WORKERS, post=WORKERS),
    "kilns:run-close": row(get=WORKERS, post=WORKERS),
    "kilns:treatment-page": row(get=EVERYBODY, post=WORKERS),
    "kilns:kiln-sensors": row(get=OWNERS, post=OWNERS),
    "kilns:kiln-sensor-out": row(post=OWNERS),
    # alarms
    "kilns:alarms": row(get=EVERYBODY),
    "kilns:alarm-see": row(post=WORKERS),
    "kilns:alarm-feed-address": row(post=OWNERS),
    "kilns:alarm-feed": row(get=ANYONE),  # the address itself is the key
    # schedules
    "kilns:schedules": row(get=EVERYBODY),
    "kilns:schedule-find": row(get=EVERYBODY),
    "kilns:schedule-take": row(post=WORKERS),
    "kilns:schedule-new": row(get=WORKERS, post=WORKERS),
    "kilns:schedule-page": row(get=EVERYBODY),
    "kilns:schedule-edit": row(get=WORKERS, post=WORKERS),
    "kilns:schedule-hide": row(post=WORKERS),
}


def join() -> None:
    """Let the yard's middleware know these rows."""
    access.register(TABLE)
