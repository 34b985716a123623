"""What phones have sent: a receipt for each record, with both clocks."""

from django.db import models
from django.utils import timezone


class PhoneRecord(models.Model):
    """One record as a phone sent it. Its key is unique: the same record sent again finds this row.

    `made_at` is the time by the phone's clock, `received_at` by the server's. `clock_off_s` is how many seconds
    the phone's clock was behind when it sent; the kept record's own time is set right by it where that is much.
    """

    client_key = models.UUIDField(unique=True)
    kind = models.CharField(max_length=20)
    made_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(default=timezone.now)
    clock_off_s = models.FloatField(default=0)
    number = models.PositiveBigIntegerField(default=0, help_text="In which order the phone wrote it down.")
    device = models.CharField(max_length=40, blank=True)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")
    table = models.CharField(max_length=40)
    row_id = models.BigIntegerField()
    sent = models.JSONField(default=dict, help_text="What was typed, as it was sent.")

    class Meta:
        indexes = [models.Index(fields=["table", "row_id"], name="phone_record_of_row")]

    def __str__(self):
        return f"{self.kind} {self.client_key}"
