"""A certificate authority of the yard's own, since a phone takes in an app for offline use over HTTPS only.

The authority may vouch for names and addresses of a home network alone (its name constraints say so), so that a
phone which trusts it trusts it with nothing else, even if its key were stolen. Its key never leaves the folder.
"""

import ipaddress
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from yard.serving.names import HOME_NETWORKS

AUTHORITY_DAYS = 3650
LEAF_DAYS = 397  # phones refuse certificates that run longer than 398 days, those of own authorities 825 (from memory)
RENEW_BEFORE_DAYS = 45
SLOW_CLOCK = timedelta(days=2)  # a phone whose clock is a little behind takes it all the same
HOME_SUFFIXES = ("local", "lan", "home", "internal", "home.arpa", "localhost")  # RFC 6762, RFC 8375; others in use


class NotOfTheYard(ValueError):  # noqa: N818 - reads as the sentence it is
    """A name that the authority on disk may not vouch for."""


@dataclass(frozen=True)
class Files:
    """Where the keys and certificates lie."""

    folder: Path

    @property
    def authority_key(self) -> Path:
        return self.folder / "authority.key"

    @property
    def authority(self) -> Path:
        return self.folder / "authority.crt"

    @property
    def key(self) -> Path:
        return self.folder / "server.key"

    @property
    def certificate(self) -> Path:
        """The server's certificate, followed by the authority's."""
        return self.folder / "server.crt"


def https_ready(folder: Path, names: Sequence[str], yard_name: str, now: datetime | None = None) -> Files:
    """Make what is missing: the authority once, the server's certificate when it runs out or other names are wanted.

    Errors: NotOfTheYard for a public name that the authority was not made for.
    """
    now = now or datetime.now(UTC)
    files = Files(folder)
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    if not (files.authority_key.exists() and files.authority.exists()):
        _make_authority(files, names, yard_name, now)
    authority = x509.load_pem_x509_certificate(files.authority.read_bytes())
    _refuse_strange(authority, names)
    if not _still_good(files, authority, names, now):
        _make_leaf(files, authority, names, now)
    return files


def runs_out(certificate: Path) -> datetime:
    """When a certificate ends."""
    return x509.load_pem_x509_certificate(certificate.read_bytes()).not_valid_after_utc


def authority_der(files: Files) -> bytes:
    """The authority's certificate as phones take it in."""
    authority = x509.load_pem_x509_certificate(files.authority.read_bytes())
    return authority.public_bytes(serialization.Encoding.DER)


def fingerprint(files: Files) -> str:
    """The authority's SHA-256 fingerprint in pairs, to be compared on the phone."""
    digest = x509.load_pem_x509_certificate(files.authority.read_bytes()).fingerprint(hashes.SHA256()).hex().upper()
    return ":".join(digest[n : n + 2] for n in range(0, len(digest), 2))


def _make_authority(files: Files, names: Sequence[str], yard_name: str, now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{yard_name[:40]} own authority")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SLOW_CLOCK)
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write_key(files.authority_key, key)
    files.authority.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))


def _make_leaf(files: Files, authority: x509.Certificate, names: Sequence[str], now: datetime) -> None:
    signer = serialization.load_pem_private_key(files.authority_key.read_bytes(), None)
    if not isinstance(signer, ec.EllipticCurvePrivateKey):
        raise ValueError(f"{files.authority_key.name} is not the key that this program made")
    key = ec.generate_private_key(ec.SECP256R1())
    last = min(now + timedelta(days=LEAF_DAYS), authority.not_valid_after_utc)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SLOW_CLOCK)
        .not_valid_after(last)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False)
        .sign(signer, hashes.SHA256())
    )
    pem = certificate.public_bytes(serialization.Encoding.PEM) + files.authority.read_bytes()
    _write_key(files.key, key)
    _replace(files.certificate, pem, 0o644)


def _still_good(files: Files, authority: x509.Certificate, names: Sequence[str], now: datetime) -> bool:
    if not (files.key.exists() and files.certificate.exists()):
        return False
    leaf = x509.load_pem_x509_certificate(files.certificate.read_bytes())
    if leaf.not_valid_after_utc - now < timedelta(days=RENEW_BEFORE_DAYS) or leaf.issuer != authority.subject:
        return False
    kept = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(kept) == {_general(name) for name in names}


def _permitted(names: Iterable[str]) -> list[x509.GeneralName]:
    networks = [x509.IPAddress(ipaddress.ip_network(network)) for network in HOME_NETWORKS]
    own = {name.lower() for name in names if not _address(name)}
    return [*(x509.DNSName(suffix) for suffix in (*HOME_SUFFIXES, *sorted(own))), *networks]


def _refuse_strange(authority: x509.Certificate, names: Sequence[str]) -> None:
    """A name outside the constraints would be refused by every phone: say so here instead."""
    permitted = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    suffixes = [one.value for one in permitted if isinstance(one, x509.DNSName)]
    networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
    for name in names:
        address = _address(name)
        if address is None:
            good = any(name.lower() == suffix or name.lower().endswith(f".{suffix}") for suffix in suffixes)
        else:
            good = any(address.version == network.version and address in network for network in networks)
        if not good:
            raise NotOfTheYard(
                f"The yard's authority may not vouch for {name}: it was made for other names. Leave this name out, or "
                "remove the folder with the authority to make a new one, which every phone must then trust anew."
            )


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _general(name: str) -> x509.GeneralName:
    address = _address(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)


def _usage(**used: bool) -> x509.KeyUsage:
    none = dict.fromkeys(
        ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement",
         "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"), False,
    )  # fmt: skip
    return x509.KeyUsage(**(none | used))


def _write_key(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    pem = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    _replace(path, pem, 0o600)


def _replace(path: Path, content: bytes, mode: int) -> None:
    """Write beside and move into place, so that the server never reads half a file; never readable by others."""
    beside = path.with_name(f".{path.name}.new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(beside, path)
