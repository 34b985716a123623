"""`manage.py refresh`: bring the stored estimates up to today. Run it once a day, early."""

from django.core.management.base import BaseCommand, CommandError

from yard.services.estimates import estimates_refresh_old
from yard.services.watches import watches_do
from yard.services.weather import NoPlaceError


class Command(BaseCommand):
    help = "Make the estimates of all standing wood anew for today (run once a day)."

    def handle(self, *args, **options):
        try:
            count = estimates_refresh_old()
        except NoPlaceError as error:
            raise CommandError(str(error)) from error
        for words in watches_do():
            self.stdout.write(words)
        self.stdout.write(f"{count} estimate{'' if count == 1 else 's'} brought up to today.")
