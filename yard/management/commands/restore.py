"""`manage.py restore`: put a backup in the place of what is there."""

from pathlib import Path

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from yard.services.backups import CannotBackUp, backup_restore


class Command(BaseCommand):
    help = "Replace the database and the photos by those of a backup. Stop the server first."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--yes", action="store_true", help="do not ask")

    def handle(self, *args, file, yes, **options):
        if not yes and input("This replaces the yard's data. The server is stopped? Type yes: ").strip() != "yes":
            raise CommandError("Nothing was changed.")
        try:
            about = backup_restore(file)
        except CannotBackUp as error:
            raise CommandError(f"{error} Nothing was changed.") from error
        call_command("migrate", interactive=False, verbosity=0)
        self.stdout.write(f"Restored the backup of {about['made_at']}. Start the server again.")
