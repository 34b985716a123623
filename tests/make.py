"""Things to test with: `make_person("hand")`, `make_yard()` and friends; each takes what a test cares about."""

from datetime import date, timedelta
from hashlib import sha256
from itertools import count

from django.utils import timezone

from yard.models import Invite, Person, Yard

PASSWORD = "a long enough one"
YARD_DAY = date(2026, 3, 2)
_number = count(1)


def make_yard(**fields):
    """The yard, set up near Madison."""
    chosen = {
        "name": "Test yard", "lat_deg": 43.07, "lon_deg": -89.4, "place_label": "Madison, WI",
        "city_key": "WI-Madison", "elevation_ft": 860.0, "time_zone": "America/Chicago",
        "set_up_at": timezone.now(),
    }  # fmt: skip
    yard = Yard.objects.first() or Yard()
    for name, value in (chosen | fields).items():
        setattr(yard, name, value)
    yard.save()
    return yard


def make_person(role="owner", username=None, **fields):
    """Somebody who logs in with PASSWORD."""
    username = username or f"{role}{next(_number)}"
    return Person.objects.create_user(username, password=PASSWORD, role=role, **fields)


def make_invite(role="hand", token="token", **fields):
    """A one-time link that is still open."""
    chosen = {"expires_at": timezone.now() + timedelta(days=7), "token_hash": sha256(token.encode()).hexdigest()}
    return Invite.objects.create(role=role, **(chosen | fields))
