"""Changing a slab: what was typed is kept, two people notice each other, nothing half saved."""

import pytest

from tests.make import make_log, make_slab, make_stack
from yard.forms.slab_form import SlabEditForm, edit_values
from yard.models import History, Slab


def url(slab):
    return f"/slabs/{slab.pk}/edit/"


def sent(slab, **changes):
    """The form as a browser sends it back, with changes."""
    form = SlabEditForm(initial=edit_values(slab))
    data = {}
    for bound in form:
        value = bound.value()
        if value not in (None, False, "", []):
            data[bound.html_name] = "on" if value is True else getattr(value, "pk", value)
    return data | {name: value for name, value in changes.items() if value is not None}


def test_what_comes_back_untouched_changes_nothing(hand_client, yard):
    slab = make_slab(length_in=100.3, thickness_in=2.0671)
    assert hand_client.post(url(slab), sent(slab)).status_code == 302
    again = Slab.objects.get(pk=slab.pk)
    assert (again.version, again.length_in, again.thickness_in) == (1, 100.3, 2.0671)


def test_a_change_is_saved_with_its_history_and_new_figures(hand_client, hand, yard):
    slab = make_slab()
    answer = hand_client.post(url(slab), sent(slab, widths_in="12", figure="curl", price="$1,240.50", hold_back="on"))
    assert answer.status_code == 302
    again = Slab.objects.get(pk=slab.pk)
    assert (again.widths_in, again.area_in2, again.figure) == ([12.0], 12 * 96.0, "curl")
    assert (str(again.price), again.hold_back) == ("1240.50", True)
    line = History.objects.get(table="slab", row_id=slab.pk, action="changed")
    assert line.by == hand
    assert line.changes["figure"] == ["", "curl"]


def test_two_people_editing_one_slab_see_both_values_and_keep_what_they_typed(hand_client, owner_client, yard):
    slab = make_slab(grade="1")
    first, second = sent(slab, grade="FAS", figure="curl"), sent(slab, grade="Select", note="by the door")
    assert owner_client.post(url(slab), first).status_code == 302
    answer = hand_client.post(url(slab), second)
    page = " ".join(answer.content.decode().split())
    assert answer.status_code == 409
    assert "Saved meanwhile" in page
    assert "<td>FAS</td><td>Select</td>" in page
    assert 'value="Select"' in page
    assert 'value="by the door"' in page
    assert Slab.objects.get(pk=slab.pk).grade == "FAS"
    # having looked at both, saving again goes through
    form = answer.context["form"]
    assert hand_client.post(url(slab), second | {"version": form.data["version"]}).status_code == 302
    assert Slab.objects.get(pk=slab.pk).grade == "Select"


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"thickness_in": "minus two"}, "thickness_in", "thickness"),
        ({"thickness_in": "-2"}, "thickness_in", "thickness"),
        ({"widths_in": "18; sixteen"}, "widths_in", "width"),
        ({"length_in": "900"}, "length_in", "length"),
        ({"species_key": "oka xyzzy"}, "species_key", "No wood"),
        ({"sawn_on": "2099-01-01"}, "sawn_on", "not come yet"),
        ({"price": "-5"}, "price", "amount"),
        ({"tag": "TAKEN"}, "tag", "Another slab"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_kept(hand_client, yard, typed, field, words):
    make_slab("taken")
    slab = make_slab()
    answer = hand_client.post(url(slab), sent(slab, note="kept all the same", **typed))
    assert answer.status_code == 422
    assert any(words in message for message in answer.context["form"].errors[field])
    assert 'value="kept all the same"' in answer.content.decode()
    assert Slab.objects.get(pk=slab.pk).version == 1


def test_a_slab_wider_than_its_log_is_refused_beside_the_widths(hand_client, yard):
    slab = make_slab(log=make_log(small_end_in=20, large_end_in=22), widths_in=[18.0])
    answer = hand_client.post(url(slab), sent(slab, widths_in="30"))
    assert answer.status_code == 422
    assert "wider than log" in answer.context["form"].errors["widths_in"][0]


def test_the_species_of_wood_that_dries_in_a_stack_stays(hand_client, yard):
    slab = make_slab()
    make_stack(slabs=[slab])
    slab.refresh_from_db()
    answer = hand_client.post(url(slab), sent(slab, species_key="white oak"))
    assert answer.status_code == 422
    assert "dries in a stack" in answer.context["form"].errors["species_key"][0]


def test_viewers_and_strangers_change_nothing(viewer_client, client, yard):
    slab = make_slab()
    assert viewer_client.post(url(slab), sent(slab, figure="curl")).status_code == 403
    assert client.post(url(slab), sent(slab, figure="curl")).status_code == 302
    assert Slab.objects.get(pk=slab.pk).figure == ""
