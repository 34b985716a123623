"""Whether `manage.py serve` serves HTTP or HTTPS, decided before the settings are read: cookies depend on it."""

import os
from collections.abc import Sequence
from pathlib import Path

from yard.config import env


def choose_scheme(arguments: Sequence[str]) -> None:
    """HTTPS with `--https`; otherwise what the settings say, or else HTTPS only where a proxy brings it."""
    if os.environ.get("SLABWRIGHT_MODE") not in ("demo", "test"):
        env.load_file(Path(__file__).resolve().parents[2] / ".env")
    if "--https" in arguments:
        os.environ["SLABWRIGHT_HTTPS"] = "yes"
    elif not os.environ.get("SLABWRIGHT_HTTPS"):
        os.environ["SLABWRIGHT_HTTPS"] = "yes" if env.flag("SLABWRIGHT_BEHIND_PROXY", default=False) else "no"
