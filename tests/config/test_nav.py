"""The menus show what a person may open, and where the person is."""

import pytest

from tests.make import make_person
from yard import nav

PLACES = (nav.Place("Today", "yard:today"), nav.Place("Me", "yard:me"), nav.Place("People", "yard:people"))


def here(path, role="owner"):
    return [way.words for way in nav.ways(PLACES, make_person(role), path) if way.here]


@pytest.mark.parametrize(
    ("path", "words"), [("/", ["Today"]), ("/people/", ["People"]), ("/people/7/", ["People"]), ("/elsewhere/", [])]
)
def test_page_belongs_to_the_place_that_its_path_begins_with(db, path, words):
    assert here(path) == words


def test_what_a_person_may_not_open_is_left_out(db):
    assert [way.words for way in nav.ways(PLACES, make_person("viewer"), "/")] == ["Today", "Me"]
    assert nav.groups(None, "/") == []


def test_current_page_is_marked_for_who_does_not_see_colours(owner_client):
    page = owner_client.get("/people/").content.decode()
    assert '<a href="/people/" aria-current="page">People</a>' in page


def test_page_without_a_tab_of_its_own_belongs_to_more(db):
    marked = {way.words: way.here for way in nav.tabs(make_person("owner"), "/history/")}
    assert marked["More"] == "true"
    assert marked["Today"] == ""
    assert nav.tabs(None, "/login/") == []


def test_another_app_adds_its_places_once(db, monkeypatch):
    monkeypatch.setattr(nav, "GROUPS", list(nav.GROUPS))
    for _ in range(2):
        nav.register("Sheds", (nav.Place("Me too", "yard:me"),))
    words = [words for words, _ in nav.groups(make_person("owner"), "/")]
    assert words.count("Sheds") == 1
    assert words[-1] == "Yard"
