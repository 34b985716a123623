"""Every fault between a phone and the yard, a few times each; `python -m tests.bench phone` tries them in full."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]


def test_nothing_is_lost_and_nothing_doubled_whatever_happens_on_the_way():
    """On the database of this run, in a test database with a name of its own: it lives beside this run's."""
    chosen = dict(os.environ, SLABWRIGHT_BENCH_SMALL="yes")
    url, mark, query = chosen.get("DATABASE_URL", "").partition("?")
    if url.startswith("postgres"):
        worker = os.environ.get("PYTEST_XDIST_WORKER", "one")
        chosen["DATABASE_URL"] = f"{url}_faults_{worker}{mark}{query}"
    run = subprocess.run(
        [sys.executable, "-m", "tests.bench", "phone"],
        cwd=ROOT,
        env=chosen,
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert run.returncode == 0, run.stderr[-3000:]
    lines = run.stdout.splitlines()
    assert "lost: 0  (0)" in lines, run.stdout
    assert "doubled: 0  (0)" in lines, run.stdout
    assert any(line.startswith("tried: ") and not line.startswith("tried: 0") for line in lines), run.stdout
