"""`manage.py watch`: look after what says nothing by itself. Run it every few minutes where `serve` does not run."""

from django.core.management.base import BaseCommand

from yard.services.watches import watches_do


class Command(BaseCommand):
    help = "Look after kilns and send what is to be told by e-mail (run every five minutes; `serve` does it itself)."

    def handle(self, *args, **options):
        for words in watches_do():
            self.stdout.write(words)
