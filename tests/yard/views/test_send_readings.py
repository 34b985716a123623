"""The sender in Python, run as its user runs it, against a yard that is there, away, or of another mind."""

import json
import os
import subprocess
import sys
import urllib.error
import urllib.request
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.make import make_sensor, make_yard
from yard.models import Reading
from yard.services.reading_tokens import reading_token_make

SENDER = Path(__file__).resolve().parents[3] / "static" / "send_readings.py"


@pytest.fixture
def token(transactional_db):
    make_yard()
    return reading_token_make(name="Post", sensors=[make_sensor("Post")], by=None)[1]


def run(address, token, kept, lines):
    given = "".join(f"{line if isinstance(line, str) else json.dumps(line)}\n" for line in lines)
    return subprocess.run(
        [sys.executable, str(SENDER), address, "--kept", str(kept)],
        input=given, text=True, capture_output=True, timeout=60, check=False, env=os.environ | {"YARD_TOKEN": token},
    )  # fmt: skip


def minute(n):
    return {"time": (datetime.now(UTC) - timedelta(minutes=n)).isoformat(), "temp_f": 60.0 + n % 20}


def lines_of(path):
    return [json.loads(line) for line in path.read_text().splitlines()]


def test_readings_reach_the_yard_and_nothing_is_left_waiting(live_server, token, tmp_path):
    kept = tmp_path / "unsent.jsonl"
    done = run(f"{live_server.url}/api/readings/", token, kept, [minute(3), minute(2), {"temp_f": 61}])
    assert done.returncode == 0, done.stderr
    assert Reading.objects.count() == 3
    assert lines_of(kept) == []


def test_what_could_not_be_sent_waits_in_the_file_and_goes_later_once(live_server, token, tmp_path):
    kept = tmp_path / "unsent.jsonl"
    away = run("http://127.0.0.1:9/api/readings/", token, kept, [minute(n) for n in range(5)])
    assert away.returncode == 1
    assert "not sent (no answer)" in away.stderr
    assert len(lines_of(kept)) == 5
    with kept.open("a") as file:
        file.write('{"time": "2026-')  # the power went while a line was written
    copy = kept.read_text()
    assert run(f"{live_server.url}/api/readings/", token, kept, []).returncode == 0
    assert (Reading.objects.count(), lines_of(kept)) == (5, [])
    kept.write_text(copy)  # the answer was lost: all is sent again
    assert run(f"{live_server.url}/api/readings/", token, kept, []).returncode == 0
    assert Reading.objects.count() == 5


def test_what_the_yard_refuses_is_put_aside_with_why(live_server, token, tmp_path):
    kept = tmp_path / "unsent.jsonl"
    wrong = {"time": "2001-01-01T00:00:00Z", "temp_f": 60}
    done = run(f"{live_server.url}/api/readings/", token, kept, [wrong, minute(1), "no json"])
    assert done.returncode == 0
    assert "left out, not a reading" in done.stderr
    aside = lines_of(tmp_path / "unsent.jsonl.refused")
    assert [one["reading"] for one in aside] == [wrong]
    assert "clock that was reset" in aside[0]["why"]
    assert Reading.objects.count() == 1


def test_with_a_wrong_token_all_of_it_waits(live_server, token, tmp_path):
    kept = tmp_path / "unsent.jsonl"
    done = run(f"{live_server.url}/api/readings/", "wrong", kept, [minute(1)])
    assert done.returncode == 1
    assert "no such token" in done.stderr
    assert len(lines_of(kept)) == 1
    assert not Reading.objects.exists()


def test_a_message_that_is_too_large_gets_its_answer_over_the_wire(live_server, token):
    body = json.dumps([minute(1)]).encode() + b" " * (12 * 1024 * 1024)
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    request = urllib.request.Request(f"{live_server.url}/api/readings/", data=body, headers=headers, method="POST")
    with pytest.raises(urllib.error.HTTPError) as told:
        urllib.request.urlopen(request, timeout=30)
    assert told.value.code == 413
    assert "larger than 10 MB" in json.load(told.value)["error"]
    assert not Reading.objects.exists()


def test_more_than_one_message_holds_goes_in_several(live_server, token, tmp_path):
    kept = tmp_path / "unsent.jsonl"
    kept.write_text("".join(json.dumps(minute(n)) + "\n" for n in range(250)))
    assert run(f"{live_server.url}/api/readings/", token, kept, []).returncode == 0
    assert (Reading.objects.count(), lines_of(kept)) == (250, [])
