"""The whole yard in one file: a consistent copy of the database, and the photos."""

import io
import json
import os
import shutil
import sqlite3
import subprocess
import tarfile
import tempfile
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

FORMAT = 1
ABOUT, MEDIA = "about.json", "media"
SQLITE_COPY, POSTGRES_COPY = "database.sqlite3", "database.pgdump"


class CannotBackUp(Exception):  # noqa: N818 - reads as the sentence it is
    """The backup was not made, or the file is none that can be restored; nothing was changed."""


def backup_make(target: Path) -> dict[str, Any]:
    """Write a backup to `target` while the yard goes on working; an existing file is not replaced.

    Returns what the backup says of itself. Errors: CannotBackUp.
    """
    if target.exists():
        raise CannotBackUp(f"{target.name} exists already: choose another name.")
    unfinished = target.with_name(target.name + ".part")
    try:
        with tempfile.TemporaryDirectory() as folder, tarfile.open(unfinished, "w:gz", compresslevel=3) as tar:
            copy = _copy_database(Path(folder))
            about = _about(copy)
            _add_text(tar, ABOUT, json.dumps(about, indent=1))
            tar.add(copy, copy.name)
            if Path(settings.MEDIA_ROOT).is_dir():
                tar.add(settings.MEDIA_ROOT, MEDIA)
        os.replace(unfinished, target)
    except OSError as error:
        raise CannotBackUp(f"The backup could not be written: {error.strerror}.") from error
    finally:
        unfinished.unlink(missing_ok=True)
    return about


def backup_restore(source: Path) -> dict[str, Any]:
    """Put a backup in the place of the yard's database and photos. The server must not be running.

    What stood there before is kept beside it, named with the time. Errors: CannotBackUp, before anything changed.
    """
    with tempfile.TemporaryDirectory(dir=settings.DATA_DIR) as folder:
        about, copy = _unpack(source, Path(folder))
        stamp = f"{timezone.localtime():%Y%m%d-%H%M%S}"
        if copy.name == SQLITE_COPY:
            _restore_sqlite(copy, stamp)
        else:
            _restore_postgres(copy)
        media = Path(settings.MEDIA_ROOT)
        if media.exists():
            media.rename(media.with_name(f"{media.name}-before-{stamp}"))
        unpacked = Path(folder) / MEDIA
        if unpacked.is_dir():
            shutil.move(unpacked, media)
    return about


def _about(copy: Path) -> dict[str, Any]:
    newest = MigrationRecorder(connection).migration_qs.filter(app="yard").order_by("-id").first()
    return {
        "what": "slabwright backup",
        "format": FORMAT,
        "made_at": datetime.now(tz=timezone.get_default_timezone()).isoformat(timespec="seconds"),
        "database": copy.name,
        "newest_migration": newest.name if newest else "",
    }


def _copy_database(folder: Path) -> Path:
    if connection.vendor == "sqlite":
        copy = folder / SQLITE_COPY
        connection.ensure_connection()
        with closing(sqlite3.connect(copy)) as there:
            connection.connection.backup(there)
        return copy
    copy = folder / POSTGRES_COPY
    _run_postgres(["pg_dump", "--format=custom", "--no-owner", f"--file={copy}"])
    return copy


def _unpack(source: Path, folder: Path) -> tuple[dict[str, Any], Path]:
    """Read all of the file and look it over before anything is touched."""
    try:
        with tarfile.open(source, "r:gz") as tar:
            tar.extractall(folder, filter="data")
        about = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
    except (OSError, tarfile.TarError, ValueError, EOFError) as error:
        raise CannotBackUp(f"{source.name} is not a whole backup: {error}") from error
    if about.get("what") != "slabwright backup" or about.get("format") != FORMAT:
        raise CannotBackUp(f"{source.name} is no backup that this version can read.")
    copy = folder / about["database"]
    expected = SQLITE_COPY if connection.vendor == "sqlite" else POSTGRES_COPY
    if copy.name != expected or not copy.is_file():
        raise CannotBackUp(f"This backup holds {copy.name}; the yard runs on {connection.vendor}.")
    if copy.name == SQLITE_COPY:
        _check_sqlite(copy)
    return about, copy


def _check_sqlite(copy: Path) -> None:
    with closing(sqlite3.connect(copy)) as database:
        try:
            (answer,) = database.execute("PRAGMA integrity_check").fetchone()
        except sqlite3.DatabaseError as error:
            answer = str(error)
    if answer != "ok":
        raise CannotBackUp(f"The database in this backup is damaged: {answer}")


def _restore_sqlite(copy: Path, stamp: str) -> None:
    connections.close_all()
    database = Path(settings.DATABASES["default"]["NAME"])
    for ending in ("", "-wal", "-shm"):
        part = database.with_name(database.name + ending)
        if part.exists():
            part.rename(part.with_name(f"{database.name}-before-{stamp}{ending}"))
    database.parent.mkdir(parents=True, exist_ok=True)
    shutil.move(copy, database)


def _restore_postgres(copy: Path) -> None:
    connections.close_all()
    _run_postgres(
        ["pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", "--exit-on-error", str(copy)],
        names_database=False,
    )


def _run_postgres(command: list[str], names_database: bool = True) -> None:
    """Run one of PostgreSQL's own programs on the yard's database; the password goes by the environment."""
    database = connection.settings_dict
    program = shutil.which(command[0])
    if program is None:
        raise CannotBackUp(f"{command[0]} is not installed: install PostgreSQL's client programs.")
    variables = {
        "PGHOST": str(database["HOST"]),
        "PGPORT": str(database["PORT"]),
        "PGUSER": str(database["USER"]),
        "PGPASSWORD": str(database["PASSWORD"]),
        "PGDATABASE": str(database["NAME"]),
    }
    which = [] if names_database else [f"--dbname={database['NAME']}"]
    done = subprocess.run(
        [program, *command[1:], *which],
        env=os.environ | {name: value for name, value in variables.items() if value},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise CannotBackUp(f"{command[0]} failed: {done.stderr.strip()[:500]}")


def _add_text(tar: tarfile.TarFile, name: str, text: str) -> None:
    data = text.encode("utf-8")
    entry = tarfile.TarInfo(name)
    entry.size = len(data)
    tar.addfile(entry, io.BytesIO(data))
