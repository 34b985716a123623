"""The yard's own certificate authority, asked by real clients: they come in with it and stay out without."""

import http.server
import ssl
import stat
import threading
import urllib.error
import urllib.request
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509

from yard.serving.authority import AUTHORITY_DAYS, LEAF_DAYS, NotOfTheYard, authority_der, https_ready, runs_out
from yard.serving.names import as_host, own_names

NAMES = ["yard.local", "192.168.7.20", "localhost", "127.0.0.1"]


@pytest.fixture
def files(tmp_path):
    return https_ready(tmp_path / "https", NAMES, "Test yard")


@pytest.fixture
def https_door(files):
    """A server with the yard's certificate; its port."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), http.server.SimpleHTTPRequestHandler)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(files.certificate, files.key)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server.server_port
    server.shutdown()
    server.server_close()


def ask(url, authority=None):
    context = ssl.create_default_context(cafile=authority)
    with urllib.request.urlopen(url, context=context, timeout=5) as answer:
        return answer.status


def test_client_that_trusts_the_authority_comes_in_and_one_that_does_not_is_refused(files, https_door):
    for name in ("localhost", "127.0.0.1"):
        assert ask(f"https://{name}:{https_door}/", str(files.authority)) == 200
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            ask(f"https://{name}:{https_door}/")


def test_name_that_is_not_in_the_certificate_is_refused(files, https_door, monkeypatch):
    context = ssl.create_default_context(cafile=str(files.authority))
    import socket

    with (
        socket.create_connection(("127.0.0.1", https_door), timeout=5) as plain,
        pytest.raises(ssl.SSLCertVerificationError, match=r"not valid for|doesn't match"),
    ):
        context.wrap_socket(plain, server_hostname="bank.example")


def test_keys_are_readable_by_their_owner_alone(files):
    for path in (files.key, files.authority_key):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(files.folder.stat().st_mode) == 0o700


def test_certificate_is_kept_until_it_runs_out_or_other_names_are_wanted(files):
    folder, first = files.folder, files.certificate.read_bytes()
    authority = files.authority.read_bytes()
    soon = datetime.now(UTC) + timedelta(days=300)
    assert https_ready(folder, NAMES, "Test yard", soon).certificate.read_bytes() == first
    late = datetime.now(UTC) + timedelta(days=LEAF_DAYS - 10)
    renewed = https_ready(folder, NAMES, "Test yard", late).certificate
    assert renewed.read_bytes() != first
    assert runs_out(renewed) > late + timedelta(days=300)
    other = https_ready(folder, [*NAMES, "10.0.0.9"], "Test yard", late).certificate.read_bytes()
    assert b"BEGIN" in other
    assert x509.load_pem_x509_certificate(other).extensions.get_extension_for_class(
        x509.SubjectAlternativeName
    ).value.get_values_for_type(x509.DNSName) == ["yard.local", "localhost"]
    assert files.authority.read_bytes() == authority  # phones that trust it go on trusting it


def test_certificate_never_outlives_the_authority(files):
    end = datetime.now(UTC) + timedelta(days=AUTHORITY_DAYS - 100)
    renewed = https_ready(files.folder, NAMES, "Test yard", end)
    assert runs_out(renewed.certificate) <= runs_out(renewed.authority)


def test_authority_may_not_vouch_for_names_of_the_internet(files):
    for name in ("bank.example", "203.0.113.9", "2001:db8::5"):
        with pytest.raises(NotOfTheYard, match="may not vouch"):
            https_ready(files.folder, [*NAMES, name], "Test yard")


def test_public_name_given_at_the_start_is_vouched_for(tmp_path):
    files = https_ready(tmp_path / "other", ["yard.example", "127.0.0.1"], "Test yard")
    assert files.certificate.exists()


def test_stolen_authority_cannot_pass_for_a_site_of_the_internet(files, tmp_path):
    """OpenSSL itself refuses a certificate for such a name that the authority's key has signed."""
    from yard.serving import authority as module

    signer = x509.load_pem_x509_certificate(files.authority.read_bytes())
    forged = module.Files(tmp_path / "forged")
    forged.folder.mkdir()
    for name in ("authority_key", "authority"):
        getattr(forged, name).write_bytes(getattr(files, name).read_bytes())
    module._make_leaf(forged, signer, ["bank.example", "127.0.0.1"], datetime.now(UTC))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(forged.certificate, forged.key)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), http.server.SimpleHTTPRequestHandler)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with pytest.raises(urllib.error.URLError, match=r"permitted subtree|CERTIFICATE_VERIFY_FAILED"):
        ask(f"https://127.0.0.1:{server.server_port}/", str(files.authority))
    server.shutdown()
    server.server_close()


def test_authority_is_handed_out_without_its_key(files):
    der = authority_der(files)
    assert x509.load_der_x509_certificate(der).subject.rfc4514_string() == "CN=Test yard own authority"


def test_own_names_hold_what_was_given_first_and_this_machine_last():
    names = own_names(["yard.local", "yard.local"])
    assert names[0] == "yard.local"
    assert names.count("yard.local") == 1
    assert names[-3:] == ["localhost", "127.0.0.1", "::1"]
    assert as_host("::1") == "[::1]"
