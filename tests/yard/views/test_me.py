"""What a person chooses for themselves."""

from tests.make import PASSWORD


def test_person_chooses_units_and_colours(hand_client, hand):
    answer = hand_client.post("/me/", {"form": "choices", "first_name": "Ada", "units": "metric", "theme": "dark"})
    assert answer.status_code == 302
    hand.refresh_from_db()
    assert (hand.first_name, hand.units, hand.theme) == ("Ada", "metric", "dark")
    assert 'data-theme="dark"' in hand_client.get("/me/").content.decode()


def test_unknown_unit_is_refused(hand_client):
    assert hand_client.post("/me/", {"form": "choices", "units": "cubits"}).status_code == 422


def test_new_password_needs_the_old_one(hand_client, hand):
    fresh = {"new_password1": "long enough 7", "new_password2": "long enough 7"}
    sent = {"form": "password", "old_password": "wrong", **fresh}
    assert hand_client.post("/me/", sent).status_code == 422
    assert hand_client.post("/me/", {**sent, "old_password": PASSWORD}).status_code == 302
    hand.refresh_from_db()
    assert hand.check_password("long enough 7")
    assert hand_client.get("/me/").status_code == 200, "this device stays logged in"
