"""`manage.py backup`: the whole yard in one file, while it goes on working."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from yard.services.backups import CannotBackUp, backup_make


class Command(BaseCommand):
    help = "Write the database and the photos into one file."

    def add_arguments(self, parser):
        parser.add_argument("file", nargs="?", type=Path, help="default: slabwright-DATE-TIME.tar.gz, here")

    def handle(self, *args, file, **options):
        target = file or Path(f"slabwright-{timezone.localtime():%Y%m%d-%H%M%S}.tar.gz")
        try:
            backup_make(target)
        except CannotBackUp as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Backed up to {target} ({target.stat().st_size / 1e6:.1f} MB). Keep a copy elsewhere.")
