"""Tokens of sensors through the screens: shown once, listed, revoked, for owners alone."""

import re

import pytest

from tests.make import make_sensor
from yard.models import History, ReadingToken
from yard.services.reading_tokens import TokenRefused, reading_token_find, reading_token_make


def text(answer):
    return answer.content.decode()


@pytest.fixture
def sensor(yard):
    return make_sensor("Post")


def test_a_new_token_is_shown_once_and_works(owner_client, sensor):
    answer = owner_client.post(f"/sensors/{sensor.pk}/tokens/", {"name": "Hub"})
    secret = re.search(r'id="one-time-token"[^>]*value="([^"]+)"', text(answer))[1]
    assert reading_token_find(secret).sensors.get() == sensor
    page = text(owner_client.get(f"/sensors/{sensor.pk}/tokens/"))
    assert "Hub" in page
    assert secret not in page
    assert "never" in page
    assert History.objects.get(table="readingtoken").action == "made"


def test_a_hubs_token_names_several_sensors(owner_client, sensor):
    other = make_sensor("Second")
    owner_client.post(f"/sensors/{sensor.pk}/tokens/", {"name": "Hub", "also": [other.pk]})
    assert set(ReadingToken.objects.get().sensors.all()) == {sensor, other}
    assert other.code in text(owner_client.get(f"/sensors/{sensor.pk}/tokens/"))


def test_a_token_without_a_name_is_refused_and_the_choice_stays(owner_client, sensor):
    other = make_sensor("Second")
    answer = owner_client.post(f"/sensors/{sensor.pk}/tokens/", {"name": "", "also": [other.pk]})
    assert answer.status_code == 422
    assert re.search(rf'value="{other.pk}"[^>]*checked', text(answer))
    assert not ReadingToken.objects.exists()


def test_a_revoked_token_lets_nothing_in_and_stays_in_the_list(owner_client, owner, sensor):
    token, secret = reading_token_make(name="Hub", sensors=[sensor], by=owner)
    other = make_sensor("Second")
    assert owner_client.post(f"/sensors/{other.pk}/tokens/{token.pk}/revoke/").status_code == 404
    page = owner_client.post(f"/sensors/{sensor.pk}/tokens/{token.pk}/revoke/", follow=True)
    assert "Revoked" in text(page)
    with pytest.raises(TokenRefused, match="revoked on"):
        reading_token_find(secret)


def test_a_retired_sensor_gets_no_new_token(owner_client, sensor):
    sensor.retired_on = "2026-01-01"
    sensor.save()
    answer = owner_client.post(f"/sensors/{sensor.pk}/tokens/", {"name": "Hub"})
    assert answer.status_code == 422
    assert "retired" in text(answer)


def test_hands_see_what_sends_but_make_no_tokens(hand_client, sensor):
    reading_token_make(name="Hub in the shed", sensors=[sensor], by=None)
    assert "Hub in the shed: not heard yet" in text(hand_client.get(f"/sensors/{sensor.pk}/"))
    assert hand_client.get(f"/sensors/{sensor.pk}/tokens/").status_code == 403
    assert hand_client.post(f"/sensors/{sensor.pk}/tokens/", {"name": "Mine"}).status_code == 403
