"""`manage.py serve`: everything that a yard needs to be reached in the house, in one command.

With `--https` it makes a certificate authority of the yard's own and serves the page on which phones come to trust it.
"""

import os
import threading
import time
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from yard.services.yard_settings import the_yard
from yard.serving import daily, house_server
from yard.serving.authority import Files, NotOfTheYard, fingerprint, https_ready
from yard.serving.names import as_host, own_names
from yard.serving.trust_page import TrustServer


class Command(BaseCommand):
    help = "Serve the yard: tables brought up to date, files collected, estimates refreshed every morning."

    def add_arguments(self, parser):
        parser.add_argument("--address", default="0.0.0.0", help="listen at this address (0.0.0.0: the whole house)")
        parser.add_argument("--port", type=int, default=8000, help="port of plain HTTP (8000)")
        parser.add_argument("--https", action="store_true", help="HTTPS with an authority of the yard's own")
        parser.add_argument("--https-port", type=int, default=8443, help="port of HTTPS (8443)")
        parser.add_argument(
            "--name", action="append", default=[], help="a name or address by which phones reach this machine; repeat"
        )
        parser.add_argument("--workers", type=int, default=house_server.WORKERS)
        parser.add_argument("--threads", type=int, default=house_server.THREADS)

    def handle(self, *args: Any, **options: Any) -> None:
        names = own_names([*options["name"], *(host.strip("[]") for host in settings.HOSTS if "*" not in host)])
        settings.ALLOWED_HOSTS = list(dict.fromkeys([*settings.ALLOWED_HOSTS, *map(as_host, names)]))
        call_command("migrate", verbosity=0)
        if not settings.WHITENOISE_USE_FINDERS:
            call_command("collectstatic", interactive=False, verbosity=0)
        files = self._https(options, names) if options["https"] else None
        self._tell(options, names, files)
        self._run(options, names, files)

    def _https(self, options: dict[str, Any], names: list[str]) -> Files:
        if not settings.HTTPS:
            raise CommandError("SLABWRIGHT_HTTPS must not be switched off with --https: start it as manage.py serve.")
        # Kept by a browser for the whole name, it would bar the way to the plain page that a new phone needs.
        settings.SECURE_HSTS_SECONDS = 0
        try:
            return https_ready(settings.DATA_DIR / "https", names, _yard_name())
        except NotOfTheYard as error:
            raise CommandError(str(error)) from error

    def _run(self, options: dict[str, Any], names: list[str], files: Files | None) -> None:
        yard_name = _yard_name()
        connections.close_all()
        address, port = options["address"], options["https_port"] if files else options["port"]
        house_server.beside(_every_day, names=names, yard_name=yard_name, with_https=files is not None)
        if files:
            house_server.beside(
                _trust, address=(address, options["port"]), files=files, https_port=port, yard_name=yard_name
            )
        from yard.config.wsgi import application

        tls = (str(files.certificate), str(files.key)) if files else None
        bind = f"{as_host(address)}:{port}"
        house_server.HouseServer(
            application,
            house_server.options(bind=bind, workers=options["workers"], threads=options["threads"], tls=tls),
        ).run()

    def _tell(self, options: dict[str, Any], names: list[str], files: Files | None) -> None:
        scheme, port = ("https", options["https_port"]) if files else ("http", options["port"])
        self.stdout.write("The yard is served at")
        for name in names:
            self.stdout.write(f"  {scheme}://{as_host(name)}:{port}/")
        if files:
            self.stdout.write(f"A new phone opens http://{as_host(names[0])}:{options['port']}/ first.")
            self.stdout.write(f"The authority's fingerprint (SHA-256): {fingerprint(files)}")
        self.stdout.write("Stop with Ctrl-C.")
        self.stdout.flush()


def _yard_name() -> str:
    return the_yard().name


def _every_day(*, parent: int, names: list[str], yard_name: str, with_https: bool) -> None:
    def renew() -> None:
        if with_https:
            https_ready(settings.DATA_DIR / "https", names, yard_name)

    daily.every_day(parent=parent, also=renew)


def _trust(*, parent: int, address: tuple[str, int], files: Files, https_port: int, yard_name: str) -> None:
    css = settings.BASE_DIR / "static" / "css"
    server = TrustServer(address, files=files, https_port=https_port, yard_name=yard_name, css=css)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    while os.getppid() == parent:
        time.sleep(1)
    server.shutdown()
