"""The permission table, walked: every URL pattern x method x role is as the table says, and none lacks a row."""

import uuid

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.make import make_person, make_yard
from yard import access, nav

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
ROLES = (access.OWNER, access.HAND, access.VIEWER, access.STRANGER)
# A value for each kind of part in a path; nothing has to exist there, since the table is asked first.
PARTS = {
    "IntConverter": 999_999,
    "StringConverter": "none",
    "SlugConverter": "none",
    "UUIDConverter": uuid.UUID(int=0),
    "PathConverter": "none",
}


def walk(patterns, namespace=""):
    """Every URL pattern with its full name."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from walk(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}", pattern


URLS = dict(walk(get_resolver().url_patterns))


def path_of(name):
    parts = URLS[name].pattern.converters
    return reverse(name, kwargs={part: PARTS[type(converter).__name__] for part, converter in parts.items()})


@pytest.fixture
def clients(db):
    make_yard()
    found = {access.STRANGER: Client()}
    for role in (access.OWNER, access.HAND, access.VIEWER):
        found[role] = Client()
        found[role].force_login(make_person(role), backend="django.contrib.auth.backends.ModelBackend")
    for client in found.values():
        client.raise_request_exception = False
    return found


def test_every_url_has_a_name_and_a_row():
    unnamed = [str(pattern.pattern) for name, pattern in URLS.items() if name.endswith("None")]
    assert unnamed == []
    assert sorted(set(URLS) - set(access.TABLE)) == [], "URLs without a row in the permission table"


def test_every_row_belongs_to_a_url():
    assert sorted(set(access.TABLE) - set(URLS)) == [], "rows of the permission table without a URL"


def test_no_row_gives_away_what_changes_things_to_viewers():
    may_post = {"yard:login", "yard:logout", "yard:me", "yard:invite", "yard:invite-password", "yard:look"}
    writable = {
        name
        for name, row in access.TABLE.items()
        for method in ("POST", "DELETE")
        if access.VIEWER in row.get(method, ())
    }
    assert writable <= may_post | access.HARMLESS_POSTS


@pytest.mark.parametrize("name", sorted(URLS))
def test_each_method_and_role_is_answered_as_the_table_says(name, clients):
    row = access.methods(name)
    path = path_of(name)
    for method in METHODS:
        for role in ROLES:
            answer = clients[role].generic(method, path)
            where = f"{method} {path} as {role}: {answer.status_code}"
            if method not in row:
                assert answer.status_code == 405, where
            elif role in row[method]:
                assert answer.status_code not in (403, 405), where
            elif role == access.STRANGER:
                assert answer.status_code == 302, where
                assert answer.headers["Location"].startswith("/login/?next="), where
            else:
                assert answer.status_code == 403, where
        # Logging out or joining must not change who asks next.
        if name in ("yard:logout", "yard:login", "yard:invite"):
            break


def kept_from_strangers():
    for name in sorted(URLS):
        for method in ("GET", "POST"):
            if access.STRANGER not in access.methods(name).get(method, {access.STRANGER}):
                yield method, name


@pytest.mark.parametrize(("method", "name"), list(kept_from_strangers()))
def test_strangers_of_htmx_are_sent_to_log_in_whole(method, name, clients):
    answer = clients[access.STRANGER].generic(
        method, path_of(name), HTTP_HX_REQUEST="true", HTTP_HX_CURRENT_URL="http://testserver/more/"
    )
    assert answer.status_code == 200
    assert answer.headers["HX-Redirect"] == "/login/?next=%2Fmore%2F"
    assert answer.content == b""


def test_url_without_a_row_is_refused_to_everybody(clients, monkeypatch):
    monkeypatch.delitem(access.TABLE, "yard:more")
    assert clients[access.OWNER].get("/more/").status_code == 403
    assert clients[access.STRANGER].get("/more/").status_code == 403


def test_closed_account_is_a_stranger(db):
    person = make_person("owner", is_active=False)
    assert access.role_of(person) == access.STRANGER
    assert not access.may(person, "yard:people")


def test_another_app_registers_its_table_but_may_not_loosen_a_row():
    access.register({"yard:more": access.TABLE["yard:more"]})
    with pytest.raises(ValueError, match="already has a row"):
        access.register({"yard:people": access.row(get=access.ANYONE)})
    assert "yard:people" in access.TABLE
    assert access.VIEWER not in access.TABLE["yard:people"]["GET"]


def test_every_place_in_the_menus_has_a_url():
    places = {place for _, some in nav.GROUPS for place in some} | set(nav.TABS)
    named = {place.url_name for place in places}
    assert sorted(named - set(URLS)) == []
