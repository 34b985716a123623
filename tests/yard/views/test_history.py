"""The list of changes."""

from tests.make import make_person
from yard.services.history import history_add


def test_changes_are_listed_in_words(viewer_client, owner, yard):
    history_add(yard, by=owner, action="changed", changes={"elevation_ft": [860.0, 870.0], "name": ["", "Oak yard"]})
    page = viewer_client.get("/history/").content.decode()
    assert "<del>860</del> → <ins>870</ins>" in page
    assert "elevation, ft" in page


def test_accounts_are_shown_to_owners_only(viewer_client, owner_client, owner):
    history_add(make_person("hand", "secretly"), by=owner, action="role changed", changes={"role": ["hand", "viewer"]})
    assert "<strong>secretly</strong>" not in viewer_client.get("/history/").content.decode()
    assert "<strong>secretly</strong>" in owner_client.get("/history/").content.decode()


def test_list_is_filtered_by_thing_and_keeps_the_filter_over_pages(owner_client, owner, yard):
    for number in range(45):
        history_add(yard, by=owner, action=f"edit {number}")
    history_add(owner, by=owner, action="other")
    page = owner_client.get("/history/?table=yard").content.decode()
    assert "edit 44" in page
    assert "other" not in page
    assert "?table=yard&amp;page=2" in page
    second = owner_client.get("/history/?table=yard&page=2").content.decode()
    assert "edit 0" in second
    assert "edit 44" not in second


def test_number_of_queries_is_fixed(owner_client, owner, yard, django_assert_max_num_queries):
    for number in range(30):
        history_add(yard, by=owner, action=f"edit {number}")
    with django_assert_max_num_queries(6):
        owner_client.get("/history/")
