"""Who changed what and when, for every table a person can edit."""

from django.db import models
from django.utils import timezone


class History(models.Model):
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    table = models.CharField(max_length=40)
    row_id = models.BigIntegerField()
    row_label = models.CharField(max_length=120)
    action = models.CharField(max_length=20, help_text="One word: added, changed, moved, voided, ...")
    changes = models.JSONField(default=dict, help_text="Field to [before, after].")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name_plural = "history"
        indexes = [
            models.Index(fields=["table", "row_id", "-at"], name="history_of_row"),
            models.Index(fields=["-at", "-id"], name="history_newest"),
        ]

    def __str__(self):
        return f"{self.row_label} {self.action}"
