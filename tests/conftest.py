"""What every test stands on: test mode, data of its own in a temporary folder, people of every role."""

import atexit
import os
import shutil
import tempfile

import django
import pytest
from hypothesis import HealthCheck, settings

# One example may take long on a busy machine; one that hangs still fails.
settings.register_profile("busy machine", deadline=20_000, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("busy machine")

# Before Django's settings are read: a test never sees a real yard's settings or data.
os.environ["SLABWRIGHT_MODE"] = "test"
os.environ["DJANGO_SETTINGS_MODULE"] = "yard.config.settings"
# Playwright's sync interface runs an event loop in this thread; the tests themselves are not async.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
_data_dir = tempfile.mkdtemp(prefix="slabwright-test-")
os.environ["SLABWRIGHT_DATA_DIR"] = _data_dir
atexit.register(shutil.rmtree, _data_dir, ignore_errors=True)
django.setup()

from django.test import Client  # noqa: E402 - needs the settings above

from tests.make import make_person, make_yard  # noqa: E402


@pytest.fixture
def yard(db):
    """A yard that has been set up."""
    return make_yard()


@pytest.fixture
def owner(yard):
    return make_person("owner")


@pytest.fixture
def hand(yard):
    return make_person("hand")


@pytest.fixture
def viewer(yard):
    return make_person("viewer")


def _client_of(person):
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def owner_client(owner):
    """A browser in which the owner is logged in."""
    return _client_of(owner)


@pytest.fixture
def hand_client(hand):
    """A browser in which a hand is logged in."""
    return _client_of(hand)


@pytest.fixture
def viewer_client(viewer):
    """A browser in which a viewer is logged in."""
    return _client_of(viewer)
