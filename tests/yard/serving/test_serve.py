"""`manage.py serve`, started as a yard starts it and asked by real clients."""

import os
import shutil
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
SECONDS_TO_START = 60


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def start(folder, *arguments):
    """Start it with a data folder of its own; what it says goes to out.txt there."""
    chosen = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "SLABWRIGHT_HTTPS")}
    chosen |= {"SLABWRIGHT_MODE": "test", "SLABWRIGHT_DATA_DIR": str(folder / "data")}
    with (folder / "out.txt").open("wb") as out:
        return subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--address", "127.0.0.1", "--workers", "1", *arguments],
            cwd=ROOT, env=chosen, stdout=out, stderr=out,
        )  # fmt: skip


@dataclass
class HttpsYard:
    folder: Path
    http: int
    https: int
    process: subprocess.Popen


@pytest.fixture(scope="module")
def https_yard(tmp_path_factory):
    """A yard served over HTTPS, once for the tests here."""
    folder = tmp_path_factory.mktemp("served")
    http, https = free_port(), free_port()
    process = start(folder, "--https", "--port", str(http), "--https-port", str(https), "--name", "yard.local")
    yield HttpsYard(folder, http, https, process)
    if process.poll() is None:
        process.terminate()
        process.wait(30)


def ask(url, **options):
    with urllib.request.urlopen(url, timeout=10, **options) as answer:
        return answer.read().decode()


def wait_for(url, process, **options):
    until = time.monotonic() + SECONDS_TO_START
    while True:
        try:
            return ask(url, **options)
        except OSError:
            assert process.poll() is None, "the server ended"
            assert time.monotonic() < until, f"no answer from {url}"
            time.sleep(0.2)


def test_plain_serve_brings_up_an_empty_yard(tmp_path):
    port = free_port()
    process = start(tmp_path, "--port", str(port))
    try:
        assert "well" in wait_for(f"http://127.0.0.1:{port}/health/", process)
        assert "Log in" in ask(f"http://127.0.0.1:{port}/login/")
        assert "--ground" in ask(f"http://127.0.0.1:{port}/static/css/tokens.css")
        assert not (tmp_path / "data" / "https").exists()
    finally:
        process.terminate()
        process.wait(30)


def test_https_is_trusted_by_a_client_with_the_fetched_authority_and_by_no_other(https_yard, tmp_path):
    plain = f"http://127.0.0.1:{https_yard.http}"
    page = wait_for(f"{plain}/", https_yard.process)
    assert "Make this phone ready" in page
    assert f"https://127.0.0.1:{https_yard.https}/" in page
    authority = tmp_path / "fetched.crt"
    with urllib.request.urlopen(f"{plain}/yard-authority.crt", timeout=10) as answer:
        assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
        authority.write_text(ssl.DER_cert_to_PEM_cert(answer.read()))
    trusting = ssl.create_default_context(cafile=str(authority))
    for name in ("localhost", "127.0.0.1"):
        url = f"https://{name}:{https_yard.https}/health/"
        assert "well" in wait_for(url, https_yard.process, context=trusting)
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        ask(f"https://127.0.0.1:{https_yard.https}/health/")
    assert "fingerprint" in (https_yard.folder / "out.txt").read_text()


@pytest.mark.skipif(shutil.which("curl") is None, reason="curl is not installed")
def test_curl_is_served_with_the_authority_and_refused_without(https_yard, tmp_path):
    wait_for(f"http://127.0.0.1:{https_yard.http}/", https_yard.process)
    curl = ["curl", "-s", "-o", str(tmp_path / "answer"), f"https://127.0.0.1:{https_yard.https}/health/"]
    trusting = [*curl, "--cacert", str(https_yard.folder / "data" / "https" / "authority.crt")]
    assert subprocess.run([*trusting, "--retry", "60", "--retry-connrefused", "--retry-delay", "1"]).returncode == 0
    assert subprocess.run(curl).returncode == 60  # 60: the certificate is not trusted


def test_cookies_are_for_https_and_the_plain_page_stays_open_to_new_phones(https_yard):
    trusting = ssl.create_default_context(cafile=str(https_yard.folder / "data" / "https" / "authority.crt"))
    url = f"https://127.0.0.1:{https_yard.https}/login/"
    wait_for(url, https_yard.process, context=trusting)
    with urllib.request.urlopen(url, context=trusting, timeout=10) as answer:
        assert "; Secure" in str(answer.headers["Set-Cookie"])
        assert answer.headers["Strict-Transport-Security"] is None


def test_plain_door_sends_all_else_on_to_https_by_the_name_that_was_used(https_yard):
    wait_for(f"http://127.0.0.1:{https_yard.http}/", https_yard.process)
    for method in ("GET", "HEAD", "POST"):
        moved = urllib.request.Request(f"http://localhost:{https_yard.http}/c/K7M2QX/?a=1", method=method)
        with pytest.raises(urllib.error.HTTPError) as error:
            urllib.request.build_opener(_Stay).open(moved, timeout=10)
        assert error.value.headers["Location"] == f"https://localhost:{https_yard.https}/c/K7M2QX/?a=1"


def test_everything_that_serve_started_ends_with_it(https_yard):
    wait_for(f"http://127.0.0.1:{https_yard.http}/", https_yard.process)
    https_yard.process.terminate()
    https_yard.process.wait(30)
    until = time.monotonic() + 15
    while time.monotonic() < until:
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", https_yard.http)) != 0:
                return
        time.sleep(0.2)
    pytest.fail("the plain page is still served")


class _Stay(urllib.request.HTTPRedirectHandler):
    """Shows a redirect instead of following it."""

    def redirect_request(self, *args, **kwargs):
        return None
