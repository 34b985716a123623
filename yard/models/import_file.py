"""Spreadsheets that people bring in."""

from django.db import models
from django.utils import timezone


class ImportKind(models.TextChoices):
    LOGS = "logs", "Logs"
    SLABS = "slabs", "Slabs"


class ImportFile(models.Model):
    """A spreadsheet on its way in: its text until it is imported, and which column meant what ever after."""

    kind = models.CharField(max_length=10, choices=ImportKind)
    name = models.CharField(max_length=200)
    text = models.TextField(blank=True, help_text="As it was read; emptied once it is imported or dropped.")
    delimiter = models.CharField(max_length=1)
    encoding = models.CharField(max_length=20)
    rows = models.PositiveIntegerField(help_text="Rows under the headings.")
    header_key = models.CharField(max_length=64, help_text="The same headings again: the same choices again.")
    choices = models.JSONField(
        default=dict, help_text="Which column is what, its unit, how dates are written."
    )
    made_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")
    imported_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["kind", "header_key", "-made_at"], name="import_remembered"),
            models.Index(fields=["-made_at", "-id"], name="import_newest"),
        ]

    def __str__(self):
        return self.name

    @property
    def is_open(self) -> bool:
        return self.imported_at is None and self.dropped_at is None
