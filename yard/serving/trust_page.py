"""The plain-HTTP door beside HTTPS: the page on which a phone comes to trust the yard; all else goes on to HTTPS."""

from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import urlsplit

from django.template.loader import render_to_string

from yard.serving.authority import Files, authority_der, fingerprint

LOOK = ("tokens.css", "base.css", "layout.css", "components.css", "trust_page.css")
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
}


class TrustServer(ThreadingHTTPServer):
    """Answers /, the authority's certificate and the style sheet; sends every other address to HTTPS."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, address: tuple[str, int], *, files: Files, https_port: int, yard_name: str, css: Path) -> None:
        self.files, self.https_port, self.yard_name = files, https_port, yard_name
        self.style = "\n".join((css / name).read_text(encoding="utf-8") for name in LOOK).encode()
        super().__init__(address, TrustHandler)


class TrustHandler(BaseHTTPRequestHandler):
    """One request."""

    server: TrustServer
    server_version = "Slabwright"
    sys_version = ""
    timeout = 20

    def do_GET(self) -> None:
        path = urlsplit(self.path).path
        if path in ("/", "/trust/"):
            self._send(self._page(), "text/html; charset=utf-8")
        elif path == "/yard-authority.crt":
            self._send(
                authority_der(self.server.files),
                "application/x-x509-ca-cert",
                {"Content-Disposition": 'attachment; filename="yard-authority.crt"'},
            )
        elif path == "/look.css":
            self._send(self.server.style, "text/css; charset=utf-8")
        else:
            self.send_response(301 if self.command == "GET" else 308)
            self.send_header("Location", f"{self._https()}{_safe(self.path)}")
            self.send_header("Content-Length", "0")
            self.end_headers()

    do_HEAD = do_POST = do_GET  # noqa: N815 - the names that http.server asks for

    def _page(self) -> bytes:
        context = {
            "yard_name": self.server.yard_name, "https": f"{self._https()}/",
            "fingerprint": fingerprint(self.server.files),
        }  # fmt: skip
        return render_to_string("yard/trust_page.html", context).encode()

    def _https(self) -> str:
        """The HTTPS door by the name that the phone used."""
        host = self.headers.get("Host") or "localhost"
        try:
            name = urlsplit(f"//{host}").hostname or "localhost"
        except ValueError:
            name = "localhost"
        name = f"[{name}]" if ":" in name else name
        port = "" if self.server.https_port == 443 else f":{self.server.https_port}"
        return f"https://{_safe(name)}{port}"

    def _send(self, content: bytes, kind: str, more: dict[str, str] | None = None) -> None:
        self.send_response(200)
        for name, value in {
            "Content-Type": kind,
            "Content-Length": str(len(content)),
            **HEADERS,
            **(more or {}),
        }.items():
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_message(self, form: str, *args: object) -> None:
        """Nothing: the server's log is for the yard's own pages."""


def _safe(text: str) -> str:
    """Without anything that could end a header line."""
    return "".join(sign for sign in text if 32 < ord(sign) < 127)
