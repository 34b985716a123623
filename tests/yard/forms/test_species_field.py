"""A species by what people call it."""

import pytest
from django.core.exceptions import ValidationError

from yard.forms.species_field import SpeciesField


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("northern red oak", "oak-northern-red"),
        ("Oak, northern red", "oak-northern-red"),
        ("Quercus rubra", "oak-northern-red"),
        ("black walnut", "walnut-black"),
        ("oak-northern-red", "oak-northern-red"),
    ],
)
def test_names_and_keys_are_read(typed, key):
    assert SpeciesField().clean(typed) == key


def test_name_of_several_woods_is_asked_back_with_those_woods():
    with pytest.raises(ValidationError, match=r"Which one do you mean: .*white oak") as error:
        SpeciesField().clean("oak")
    assert "red oak" in str(error.value)


def test_unknown_wood_is_refused():
    with pytest.raises(ValidationError, match="No wood is called"):
        SpeciesField().clean("plasterboard")


def test_key_is_shown_as_its_name():
    assert SpeciesField().prepare_value("oak-northern-red") == "northern red oak"


def test_suggestions_are_for_people_who_log_in(client, hand_client):
    assert client.get("/species/suggest/?q=walnut").status_code == 302
    found = hand_client.get("/species/suggest/?q=hard maple").json()["found"]
    assert found[0] == {"value": "sugar maple", "about": "Acer saccharum"}
