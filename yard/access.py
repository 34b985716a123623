"""The permission table: URL name x method -> who may. A URL without a row is refused to everybody.

One row a URL name, with namespace: `"yard:stack-page": row(get=EVERYBODY, post=WORKERS)`. The middleware
`AccessTable` enforces it before a view runs, templates hide what a person may not do with
`{% may "yard:stack-page" "POST" as can %}`, and tests walk every URL pattern x method x role. A second app keeps a
table of its own and calls `register` in its `AppConfig.ready`.
"""

from collections.abc import Mapping
from typing import Any

OWNER, HAND, VIEWER = "owner", "hand", "viewer"
STRANGER = "stranger"  # nobody is logged in

OWNERS = frozenset({OWNER})
WORKERS = frozenset({OWNER, HAND})
EVERYBODY = frozenset({OWNER, HAND, VIEWER})
ANYONE = EVERYBODY | {STRANGER}
SENDERS = frozenset({STRANGER})  # a sensor brings a token of its own; a log-in, and so a browser's form, is refused

# Viewers may post these all the same: they answer a question and change nothing.
HARMLESS_POSTS: set[str] = set()

Row = Mapping[str, frozenset[str]]


def row(
    get: frozenset[str] | None = None,
    post: frozenset[str] | None = None,
    delete: frozenset[str] | None = None,
) -> Row:
    """Who may use each method of one URL; a method left out is answered with 405."""
    methods = {"GET": get, "HEAD": get, "POST": post, "DELETE": delete}
    return {method: roles for method, roles in methods.items() if roles is not None}


TABLE: dict[str, Row] = {
    # coming and going
    "yard:login": row(get=ANYONE, post=ANYONE),
    "yard:logout": row(post=ANYONE),
    "yard:invite": row(get=ANYONE, post=ANYONE),  # the link itself is the key
    "yard:invite-password": row(get=ANYONE, post=ANYONE),
    "yard:health": row(get=ANYONE),
    # the yard itself
    "yard:today": row(get=EVERYBODY),
    "yard:more": row(get=EVERYBODY),
    "yard:me": row(get=EVERYBODY, post=EVERYBODY),
    "yard:people": row(get=OWNERS, post=OWNERS),
    "yard:people-withdraw-invite": row(post=OWNERS),
    "yard:person": row(get=OWNERS, post=OWNERS),
    "yard:set-up": row(get=OWNERS, post=OWNERS),
    "yard:yard-settings": row(get=OWNERS, post=OWNERS),
    "yard:history": row(get=EVERYBODY),
    "yard:photo-file": row(get=EVERYBODY),
    "yard:photo-add": row(get=WORKERS, post=WORKERS),
    "yard:photo-remove": row(post=WORKERS),
    "yard:species-suggest": row(get=EVERYBODY),
    "yard:look": row(get=ANYONE, post=ANYONE),  # answers 404 outside development
    # logs, saw, slabs
    "yard:logs": row(get=EVERYBODY),
    "yard:logs-export": row(get=EVERYBODY),
    "yard:log-new": row(get=WORKERS, post=WORKERS),
    "yard:log-scale": row(get=WORKERS),
    "yard:log-page": row(get=EVERYBODY),
    "yard:log-edit": row(get=WORKERS, post=WORKERS),
    "yard:log-rule": row(get=OWNERS, post=OWNERS),  # what the ticket pays by
    "yard:log-void": row(get=WORKERS, post=WORKERS),
    "yard:saw": row(get=WORKERS),
    "yard:saw-log": row(get=WORKERS, post=WORKERS),
    "yard:saw-check": row(get=WORKERS),
    "yard:saw-undo": row(post=WORKERS),
    "yard:saw-seal": row(post=WORKERS),
    "yard:saw-kerf": row(post=WORKERS),
    "yard:saw-start": row(post=WORKERS),
    "yard:saw-finish": row(post=WORKERS),
    "yard:saw-row": row(get=WORKERS, post=WORKERS),
    "yard:slabs": row(get=EVERYBODY),
    "yard:slabs-export": row(get=EVERYBODY),
    "yard:slab-new": row(get=WORKERS, post=WORKERS),
    "yard:slab-page": row(get=EVERYBODY),
    "yard:slab-edit": row(get=WORKERS, post=WORKERS),
    "yard:slab-dry": row(get=WORKERS, post=WORKERS),
    "yard:slab-split": row(get=WORKERS, post=WORKERS),
    "yard:slab-void": row(get=WORKERS, post=WORKERS),
    # stacks, bays, map
    "yard:stacks": row(get=EVERYBODY),
    "yard:stacks-export": row(get=EVERYBODY),
    "yard:stack-build": row(get=WORKERS, post=WORKERS),
    "yard:stack-page": row(get=EVERYBODY),
    "yard:stack-edit": row(get=WORKERS, post=WORKERS),
    "yard:stack-move": row(get=WORKERS, post=WORKERS),
    "yard:stack-add": row(get=WORKERS, post=WORKERS),
    "yard:stack-take-out": row(get=WORKERS, post=WORKERS),
    "yard:stack-take-down": row(get=WORKERS, post=WORKERS),
    "yard:bays": row(get=EVERYBODY),
    "yard:bay-new": row(get=OWNERS, post=OWNERS),
    "yard:bay-page": row(get=EVERYBODY),
    "yard:bay-edit": row(get=OWNERS, post=OWNERS),
    "yard:bay-close": row(post=OWNERS),
    "yard:map": row(get=EVERYBODY),
    # moisture, weather, ready
    "yard:weigh": row(get=EVERYBODY),
    "yard:weigh-kept": row(get=EVERYBODY),
    "yard:weigh-sample": row(get=EVERYBODY, post=WORKERS),
    "yard:weigh-stack": row(get=EVERYBODY, post=WORKERS),
    "yard:weigh-meter": row(get=WORKERS, post=WORKERS),
    "yard:weigh-oven": row(get=WORKERS, post=WORKERS),
    "yard:record-void": row(get=WORKERS, post=WORKERS),
    "yard:sample-new": row(get=WORKERS, post=WORKERS),
    "yard:sample-retire": row(post=WORKERS),
    "yard:ready": row(get=EVERYBODY),
    "yard:ready-export": row(get=EVERYBODY),
    "yard:estimates-refresh": row(post=WORKERS),
    "yard:weather": row(get=EVERYBODY),
    "yard:weather-read": row(get=WORKERS, post=WORKERS),
    "yard:weather-keep": row(post=WORKERS),
    "yard:weather-remove": row(post=WORKERS),
    "yard:weather-usual-drop": row(post=OWNERS),
    "yard:sensors": row(get=EVERYBODY),
    "yard:sensor-new": row(get=OWNERS, post=OWNERS),
    "yard:sensor-page": row(get=EVERYBODY),
    "yard:sensor-edit": row(get=OWNERS, post=OWNERS),
    "yard:sensor-read": row(get=WORKERS, post=WORKERS),
    "yard:sensor-columns": row(post=WORKERS),
    "yard:sensor-retire": row(post=OWNERS),
    "yard:sensor-tokens": row(get=OWNERS, post=OWNERS),
    "yard:sensor-token-revoke": row(post=OWNERS),
    "yard:api-readings": row(post=SENDERS),
    "yard:api-openapi": row(get=ANYONE),  # the form of a message, which is no secret
    "yard:api-page": row(get=EVERYBODY),
    # labels, phone
    "yard:labels": row(get=WORKERS),
    "yard:phone": row(get=ANYONE),  # the same for everybody: the phone keeps it, and fills it from what it has
    "yard:phone-worker": row(get=ANYONE),
    "yard:phone-manifest": row(get=ANYONE),
    "yard:phone-session": row(get=ANYONE),
    "yard:phone-pack": row(get=EVERYBODY),
    "yard:phone-records": row(post=WORKERS),
    "yard:phone-photo": row(post=WORKERS),
    "yard:round": row(get=EVERYBODY),
    "yard:labels-pdf": row(get=WORKERS),
    "yard:code": row(get=EVERYBODY),
    "yard:code-scanned": row(get=EVERYBODY),
    "yard:code-find": row(get=EVERYBODY),
    # in and out
    "yard:contacts": row(get=EVERYBODY),
    "yard:contacts-export": row(get=EVERYBODY),
    "yard:contact-new": row(get=WORKERS, post=WORKERS),
    "yard:contact-page": row(get=EVERYBODY),
    "yard:contact-edit": row(get=WORKERS, post=WORKERS),
    "yard:contact-hide": row(post=WORKERS),
    "yard:list-export": row(get=EVERYBODY),
    "yard:import": row(get=WORKERS, post=WORKERS),
    "yard:import-columns": row(get=WORKERS, post=WORKERS),
    "yard:import-rows": row(get=WORKERS, post=WORKERS),
    "yard:import-drop": row(post=WORKERS),
}


def register(table: Mapping[str, Row]) -> None:
    """Add another app's rows; a URL name that already has a different row is a mistake."""
    for name, new in table.items():
        if TABLE.get(name, new) != new:
            raise ValueError(f"{name} already has a row in the permission table")
        TABLE[name] = new


def role_of(person: Any) -> str:
    """The role of whoever asks: a person's own, or stranger for nobody and for the deactivated."""
    if person is None or not person.is_authenticated or not person.is_active:
        return STRANGER
    return str(person.role)


def methods(url_name: str) -> Row:
    """The row of a URL; empty when there is none, so nobody may."""
    return TABLE.get(url_name, {})


def may(person: Any, url_name: str, method: str = "GET") -> bool:
    """Whether this person may use this method of this URL."""
    return role_of(person) in methods(url_name).get(method, frozenset())
