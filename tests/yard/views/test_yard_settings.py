"""The yard's settings."""

from yard.forms.yard_settings import YardSettingsForm, initial_of
from yard.models import History, Yard


def shown(yard) -> dict[str, str]:
    """The settings page as a browser would send it back untouched."""
    form = YardSettingsForm(initial=initial_of(yard))
    return {bound.name: bound.value() for bound in form if bound.value() is not None and bound.value() is not False}


def test_untouched_settings_change_nothing(owner_client, yard):
    assert owner_client.post("/settings/", shown(yard)).status_code == 302
    assert not History.objects.exists()
    assert Yard.objects.get().version == 1


def test_changed_settings_are_kept_with_history(owner_client, yard):
    owner_client.post("/settings/", shown(yard) | {"name": "New name", "kiln_target_pct": "18"})
    row = Yard.objects.get()
    assert (row.name, row.kiln_target_pct, row.version) == ("New name", 18.0, 2)
    assert History.objects.get().changes == {"name": ["Test yard", "New name"], "kiln_target_pct": [20.0, 18.0]}


def test_two_owners_at_once_see_both_values_and_nothing_is_lost(owner_client, yard):
    before = shown(yard)
    owner_client.post("/settings/", before | {"name": "First"})
    answer = owner_client.post("/settings/", before | {"name": "Second"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "<td>First</td><td>Second</td>" in page
    assert Yard.objects.get().name == "First"
    assert owner_client.post("/settings/", before | {"name": "Second", "version": "2"}).status_code == 302
    assert Yard.objects.get().name == "Second"


def test_target_out_of_range_is_refused(owner_client, yard):
    answer = owner_client.post("/settings/", shown(yard) | {"kiln_target_pct": "60"})
    assert answer.status_code == 422
    assert "give 6 to 35%" in answer.content.decode()
