#!/usr/bin/env python3
"""Send a sensor's readings to the yard, losing none when the network or the yard is away.

Reads one reading a line from its input, as JSON such as

    {"time": "2026-11-03T14:05:00-06:00", "temp_f": 92.5, "rh_pct": 61}

(without a time it takes the time of now), keeps each in a file, sends what the file holds, and takes out of it what
the yard has answered. What the yard refuses is put into a second file beside it, with why. Needs Python 3.9 or newer
and nothing else.

    your-sensor-program | YARD_TOKEN=... python3 send_readings.py https://yard.local/api/readings/ --kept unsent.jsonl
"""

import argparse
import json
import os
import sys
import time
import urllib.error
import urllib.request
from datetime import UTC, datetime

AT_ONCE = 100  # readings in one message: the answer lists up to a hundred refusals one by one
WAIT_S = 60  # before what could not be sent is tried again
PATIENCE_S = 30  # for one answer


def keep(path, line):
    """Write a reading down before anything else; return whether the line was one."""
    try:
        reading = json.loads(line)
        if not isinstance(reading, dict):
            raise ValueError("not an object")
    except ValueError as error:
        print(f"left out, not a reading: {line.strip()[:80]} ({error})", file=sys.stderr)
        return False
    reading.setdefault("time", datetime.now(UTC).isoformat())
    with open(path, "a", encoding="utf-8") as kept:
        kept.write(json.dumps(reading) + "\n")
        kept.flush()
        os.fsync(kept.fileno())
    return True


def waiting(path):
    """The readings that the yard has not answered yet; a line that was cut off by a power cut is left out."""
    if not os.path.exists(path):
        return []
    found = []
    with open(path, encoding="utf-8", errors="replace") as kept:
        for line in kept:
            try:
                found.append(json.loads(line))
            except ValueError:
                continue
    return found


def write_all(path, readings):
    """Put the file in order in one step, so that a power cut leaves the old one or the new one."""
    with open(path + ".new", "w", encoding="utf-8") as new:
        new.writelines(json.dumps(one) + "\n" for one in readings)
        new.flush()
        os.fsync(new.fileno())
    os.replace(path + ".new", path)


def post(address, token, readings):
    """Send one message; return the status and the answer, or 0 and why there is none."""
    request = urllib.request.Request(
        address,
        data=json.dumps({"readings": readings}).encode(),
        headers={"Authorization": f"Bearer {token}", "Content-Type": "application/json"},
        method="POST",
    )
    try:
        with urllib.request.urlopen(request, timeout=PATIENCE_S) as response:
            return response.status, json.load(response)
    except urllib.error.HTTPError as error:
        try:
            return error.code, json.load(error)
        except ValueError:
            return error.code, {"error": str(error)}
    except (OSError, ValueError) as error:
        return 0, {"error": str(error)}


def send(address, token, path):
    """Send what is waiting, oldest first. Returns whether nothing waits any more."""
    while True:
        readings = waiting(path)
        if not readings:
            return True
        batch, rest = readings[:AT_ONCE], readings[AT_ONCE:]
        status, answer = post(address, token, batch)
        if status not in (200, 422):
            print(f"not sent ({status or 'no answer'}): {answer.get('error', '')}", file=sys.stderr)
            return False
        for note in answer.get("notes", []):
            print(f"the yard says: {note}", file=sys.stderr)
        refused = answer.get("refusals", [])
        if refused:
            with open(path + ".refused", "a", encoding="utf-8") as aside:
                for one in refused:
                    place = one["reading"] - 1
                    aside.write(json.dumps({"reading": batch[place], "why": one["why"]}) + "\n")
                    print(f"refused: {one['why']}", file=sys.stderr)
        write_all(path, rest)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("address", help="such as https://yard.local/api/readings/")
    parser.add_argument("--kept", default="unsent.jsonl", help="file of what was not answered yet")
    given = parser.parse_args()
    token = os.environ.get("YARD_TOKEN", "")
    if not token:
        parser.error("put the token into the environment as YARD_TOKEN")
    next_try = 0.0
    for line in sys.stdin:
        if not line.strip() or not keep(given.kept, line) or time.monotonic() < next_try:
            continue
        if not send(given.address, token, given.kept):
            next_try = time.monotonic() + WAIT_S
    return 0 if send(given.address, token, given.kept) else 1


if __name__ == "__main__":
    sys.exit(main())
