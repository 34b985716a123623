"""Files on their way in: kept aside between their preview and the decision, for a day at the most."""

import json
import re
import secrets
import shutil
import time
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings

from yard.models import Person

KEPT_FOR_S = 24 * 3600
MOST_BYTES = 40 * 1024 * 1024  # of all files together: ten years of hourly weather, packed or not (our own limit)
TOKEN = re.compile(r"[\w-]{24}")


class IncomingGone(LookupError):  # noqa: N818 - reads as the sentence it is
    """The file was kept aside too long ago, or by somebody else."""

    def __init__(self) -> None:
        super().__init__("The file is no longer here: choose it once more.")


class IncomingTooLarge(ValueError):  # noqa: N818 - reads as the sentence it is
    """More than is read at once."""


def incoming_keep(*, files: Sequence[tuple[str, bytes]], by: Person) -> str:
    """Keep files (name, content) aside; returns the token that finds them again. Errors: IncomingTooLarge."""
    size = sum(len(content) for _, content in files)
    if size > MOST_BYTES:
        raise IncomingTooLarge(f"That is {size / 1e6:.0f} MB; at most {MOST_BYTES // 1024**2} MB are read at once.")
    _sweep()
    token = secrets.token_urlsafe(18)
    folder = _folder(token)
    folder.mkdir(parents=True)
    for number, (_, content) in enumerate(files):
        (folder / str(number)).write_bytes(content)
    (folder / "names.json").write_text(json.dumps({"by": by.pk, "names": [name[:200] for name, _ in files]}))
    return token


def incoming_read(*, token: str, by: Person) -> list[tuple[str, bytes]]:
    """The files of a token, to the person who gave them. Errors: IncomingGone."""
    if not TOKEN.fullmatch(token):
        raise IncomingGone
    folder = _folder(token)
    try:
        told = json.loads((folder / "names.json").read_text())
        if told["by"] != by.pk:
            raise IncomingGone
        return [(name, (folder / str(number)).read_bytes()) for number, name in enumerate(told["names"])]
    except (OSError, ValueError):
        raise IncomingGone from None


def incoming_drop(*, token: str) -> None:
    """Take them away, now that they were read or are not wanted."""
    if TOKEN.fullmatch(token):
        shutil.rmtree(_folder(token), ignore_errors=True)


def _folder(token: str) -> Path:
    return Path(settings.DATA_DIR) / "incoming" / token


def _sweep() -> None:
    """Take away what nobody decided about."""
    oldest = time.time() - KEPT_FOR_S
    for folder in _folder("x").parent.glob("*"):
        if folder.stat().st_mtime < oldest:
            shutil.rmtree(folder, ignore_errors=True)
