"""By which names and addresses this machine is reached in the house."""

import ipaddress
import socket
from collections.abc import Iterable

HOME_NETWORKS = (
    "127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16",
    "::1/128", "fc00::/7", "fe80::/10",
)  # fmt: skip  # RFC 1918, RFC 3927, RFC 4193, RFC 4291
# Documentation addresses (RFC 5737, RFC 3849): nothing is sent there, the system only says which way it would go.
ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))


def own_names(extra: Iterable[str] = ()) -> list[str]:
    """The names given, this machine's own name, its addresses in the house, and itself; each once."""
    host = socket.gethostname().lower().rstrip(".")
    short = host.partition(".")[0]
    names = [*extra, *([f"{short}.local"] if short and short != "localhost" else []), *own_addresses()]
    return list(dict.fromkeys([*names, "localhost", "127.0.0.1", "::1"]))


def own_addresses() -> list[str]:
    """The addresses under which others in the house reach this machine: those of its usual way out."""
    found = []
    for family, elsewhere in ELSEWHERE:
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((elsewhere, 9))
                found.append(probe.getsockname()[0])
        except OSError:
            continue
    return [one for one in found if is_of_a_house(one) and not ipaddress.ip_address(one).is_loopback]


def is_of_a_house(address: str) -> bool:
    """Whether an address belongs to a network within a house, not to the internet."""
    return any(ipaddress.ip_address(address) in network for network in map(ipaddress.ip_network, HOME_NETWORKS))


def as_host(name: str) -> str:
    """A name as it stands in a URL."""
    return f"[{name}]" if ":" in name else name
