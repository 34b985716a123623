"""A phone that keeps what it wrote down until the server says that it has it: what `phone_send.js` does, in Python."""

import http.client
import json
import socket
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

PATIENCE_S = 40


class NoSignal(Exception):  # noqa: N818 - reads as the sentence it is
    """The request did not come to its answer."""


class Phone:
    """Its queue, its cookies, its clock."""

    def __init__(self, port: int, cookies: dict[str, str], clock_off: timedelta = timedelta()) -> None:
        self.port, self.cookies, self.clock_off = port, dict(cookies), clock_off
        self.queue: list[dict[str, Any]] = []
        self.written: list[dict[str, Any]] = []
        self.token = ""

    def now(self) -> datetime:
        return datetime.now(UTC) + self.clock_off

    def write_down(self, record_kind: str, /, **typed: Any) -> None:
        record = {
            "key": str(uuid.uuid4()), "kind": record_kind, "made_at": self.now().isoformat(), "typed": typed,
            "units": "imperial", "number": len(self.written) + 1, "person": None,
        }  # fmt: skip
        self.queue.append(record)
        self.written.append(record)

    def message(self, records: list[dict[str, Any]] | None = None) -> bytes:
        batch = self.queue if records is None else records
        body = {"schema": 1, "sent_at": self.now().isoformat(), "device": "bench", "records": batch}
        return json.dumps(body).encode()

    def send(self, *, fault: str = "", batch: int | None = None) -> int:
        """One try; what the server has leaves the queue. Returns how many left. Errors: NoSignal."""
        if not self.queue:
            return 0
        if not self.token and not self.session():
            return 0
        status, answer = self._post(self.message(self.queue[:batch]), fault)
        if status in (302, 403):
            self.token = ""
            return 0
        if status != 200:
            return 0
        return self.settle(answer["results"])

    def settle(self, results: list[dict[str, Any]]) -> int:
        arrived = {one["key"] for one in results if one["state"] in ("saved", "known")}
        refused = [one for one in results if one["state"] == "refused"]
        if refused:
            raise AssertionError(f"refused: {refused[0]['reason']}")
        before = len(self.queue)
        self.queue = [record for record in self.queue if record["key"] not in arrived]
        return before - len(self.queue)

    def session(self) -> bool:
        """Fetch the token; whether anybody is logged in."""
        status, answer = self._request("GET", "/phone/session/", b"", {})
        if status != 200 or answer["person"] is None:
            return False
        self.token = answer["csrf"]
        return True

    def cut(self, when: str, batch: int | None = None) -> None:
        """Send and lose the line: in the middle of the request, or as soon as all of it is sent."""
        if not self.token:
            self.session()
        body = self.message(self.queue[:batch])
        head = self._head(len(body))
        with socket.create_connection(("127.0.0.1", self.port), timeout=PATIENCE_S) as line:
            if when == "before":
                line.sendall(head + body[: len(body) // 2])
            else:
                line.sendall(head + body)
                if when == "after":
                    line.recv(12)  # the status line comes when all is committed; the rest is never read

    def _head(self, length: int) -> bytes:
        lines = [
            "POST /phone/records/ HTTP/1.1", f"Host: 127.0.0.1:{self.port}", "Content-Type: application/json",
            f"Content-Length: {length}", f"X-CSRFToken: {self.token}", f"Cookie: {self._cookie()}", "", "",
        ]  # fmt: skip
        return "\r\n".join(lines).encode()

    def _post(self, body: bytes, fault: str) -> tuple[int, dict[str, Any]]:
        headers = {"Content-Type": "application/json", "X-CSRFToken": self.token}
        if fault:
            headers["X-Fault"] = fault
        return self._request("POST", "/phone/records/", body, headers)

    def _request(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> tuple[int, dict[str, Any]]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            line.request(method, path, body, {**headers, "Cookie": self._cookie()})
            answer = line.getresponse()
            content = answer.read()
        except (OSError, http.client.HTTPException) as error:
            raise NoSignal(str(error)) from error
        finally:
            line.close()
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                cookie = value.partition(";")[0].partition("=")
                self.cookies[cookie[0]] = cookie[2]
        is_json = answer.headers.get("Content-Type", "").startswith("application/json")
        return answer.status, json.loads(content) if is_json else {}

    def _cookie(self) -> str:
        return "; ".join(f"{name}={value}" for name, value in self.cookies.items())
