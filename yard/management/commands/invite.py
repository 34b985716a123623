"""`manage.py invite`: a one-time link on the terminal, for the first owner or whenever nobody can log in."""

from django.conf import settings
from django.core.management.base import BaseCommand
from django.urls import reverse

from yard.models import Role
from yard.services.people import INVITE_DAYS, invite_issue


class Command(BaseCommand):
    help = "Print a link that lets one person in, once, within a week."

    def add_arguments(self, parser):
        parser.add_argument("--role", choices=Role.values, default=Role.OWNER.value, help="default: owner")
        parser.add_argument("--address", default="", help="how the yard is reached, such as https://yard.example")

    def handle(self, *args, role, address, **options):
        _, token = invite_issue(role=role, by=None)
        path = reverse("yard:invite", args=[token])
        self.stdout.write(f"This link makes one {role}, once, within {INVITE_DAYS} days:")
        self.stdout.write(f"{(address or self._address()).rstrip('/')}{path}")

    @staticmethod
    def _address() -> str:
        """The likeliest address: the first host that is named in the settings."""
        host = next((host for host in settings.HOSTS if host not in ("*", "[::1]")), "127.0.0.1")
        return f"https://{host}" if settings.HTTPS else f"http://{host}:8000"
