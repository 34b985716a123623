"""`manage.py demo`: build an invented yard with eighteen months of life, and serve it on this machine."""

import shutil
import time
from importlib import import_module

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection


class Command(BaseCommand):
    help = "Build an invented yard, the same every time, and serve it at 127.0.0.1:8000."
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000, help="serve at this port (8000)")
        parser.add_argument("--no-serve", action="store_true", help="build it only")
        parser.add_argument("--keep", action="store_true", help="serve the demo as it was left, if there is one")

    def handle(self, *args, **options):
        if settings.MODE != "demo":
            raise CommandError("The demo runs by itself only: start it as `python manage.py demo`.")
        if not (options["keep"] and (settings.DATA_DIR / "slabwright.sqlite3").exists()):
            self._build()
        self._tell(options["port"])
        if not options["no_serve"]:
            call_command("runserver", f"127.0.0.1:{options['port']}", use_reloader=False, skip_checks=True)

    def _build(self) -> None:
        from yard.demo.build import build

        start = time.monotonic()
        connection.close()
        for path in settings.DATA_DIR.glob("slabwright.sqlite3*"):
            path.unlink()
        shutil.rmtree(settings.MEDIA_ROOT, ignore_errors=True)
        self.stdout.write("Building the demo yard ...")
        call_command("migrate", verbosity=0)
        build()
        for app in apps.get_app_configs():  # what other apps add; the yard knows none of them by name
            if module := getattr(app, "demo", ""):
                import_module(module).build()
        self.stdout.write(f"Built in {time.monotonic() - start:.0f} seconds.")

    def _tell(self, port: int) -> None:
        from yard.demo.story import PASSWORD, PEOPLE

        names = ", ".join(f"{username} ({role})" for username, _first, _last, role in PEOPLE)
        self.stdout.write(
            f"\n  http://127.0.0.1:{port}/\n  log in as {names}\n  password: {PASSWORD}\n\n"
            "An invented yard: its place, people, prices and wood are made up. Stop with Ctrl-C.\n"
        )
