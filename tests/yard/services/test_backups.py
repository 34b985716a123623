"""Backing the yard up into one file, and getting it back."""

import io
import sqlite3
import tarfile
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.make import make_person, make_yard
from yard.models import Person, Yard
from yard.services.backups import CannotBackUp, backup_make, backup_restore


@pytest.fixture
def data_dir(settings, tmp_path):
    """A folder for the photos that nothing else uses."""
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    (tmp_path / "media/photos").mkdir(parents=True)
    (tmp_path / "media/photos/a.jpg").write_bytes(b"picture")
    return tmp_path


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "sqlite", reason="looks into the copy with sqlite3")
def test_backup_holds_the_database_as_it_is_and_the_photos(data_dir):
    make_yard(name="Hollow Oak")
    about = backup_make(data_dir / "b.tar.gz")
    assert about["newest_migration"]
    with tarfile.open(data_dir / "b.tar.gz") as tar:
        tar.extractall(data_dir / "out", filter="data")
    assert (data_dir / "out/media/photos/a.jpg").read_bytes() == b"picture"
    with closing(sqlite3.connect(data_dir / "out/database.sqlite3")) as database:
        assert database.execute("SELECT name FROM yard_yard").fetchone() == ("Hollow Oak",)
    assert not list(data_dir.glob("*.part"))


@pytest.mark.django_db(transaction=True)
def test_restored_yard_is_the_one_that_was_backed_up(data_dir):
    make_yard(name="As it was")
    make_person("owner", "olive")
    backup_make(data_dir / "b.tar.gz")
    Yard.objects.update(name="Spoiled")
    Person.objects.all().delete()
    (data_dir / "media/photos/a.jpg").write_bytes(b"spoiled")
    backup_restore(data_dir / "b.tar.gz")
    assert Yard.objects.get().name == "As it was"
    assert Person.objects.get().username == "olive"
    assert (data_dir / "media/photos/a.jpg").read_bytes() == b"picture"
    (before,) = data_dir.glob("media-before-*")
    assert (before / "photos/a.jpg").read_bytes() == b"spoiled", "what stood there is kept"


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("spoil", ["cut short", "no backup", "absent"])
def test_file_that_is_no_whole_backup_is_refused_and_nothing_changes(data_dir, spoil):
    make_yard(name="Stays")
    file = data_dir / "b.tar.gz"
    if spoil == "cut short":
        backup_make(file)
        file.write_bytes(file.read_bytes()[:-200])
    elif spoil == "no backup":
        with tarfile.open(file, "w:gz") as tar:
            tar.addfile(tarfile.TarInfo("hello"), io.BytesIO(b""))
    with pytest.raises(CannotBackUp):
        backup_restore(file)
    assert Yard.objects.get().name == "Stays"
    assert (data_dir / "media/photos/a.jpg").read_bytes() == b"picture"


@pytest.mark.django_db(transaction=True)
def test_existing_file_is_not_replaced(data_dir):
    make_yard()
    (data_dir / "b.tar.gz").write_text("mine")
    with pytest.raises(CommandError, match="exists already"):
        call_command("backup", str(data_dir / "b.tar.gz"))
    assert (data_dir / "b.tar.gz").read_text() == "mine"


def test_entry_that_points_outside_is_refused(data_dir):
    file = data_dir / "bent.tar.gz"
    with tarfile.open(file, "w:gz") as tar:
        tar.addfile(tarfile.TarInfo("../outside"), io.BytesIO(b""))
    with pytest.raises(CannotBackUp):
        backup_restore(file)
    assert not (Path(data_dir).parent / "outside").exists()
