"""What several tables share: short codes, edit versions, and the append-only record."""

import secrets
import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

CODE_ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"  # no 0/O, 1/I/L, U: read aloud and typed in gloves
CODE_LENGTH = 6


def new_code() -> str:
    """A fresh short code for a label: six characters, 30^6 = 729 million of them."""
    return "".join(secrets.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))


class Coded(models.Model):
    """A thing that carries a label with a short code."""

    code = models.CharField(max_length=8, unique=True, default=new_code, editable=False)

    class Meta:
        abstract = True


class Edited(models.Model):
    """A row that people edit: `version` counts up with every edit so that two editors notice each other."""

    version = models.PositiveIntegerField(default=1, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True


class RecordQuerySet(models.QuerySet):
    def standing(self):
        """Those that have not been voided."""
        return self.filter(voided_at__isnull=True)


class AppendOnlyError(RuntimeError):
    """A record was about to be changed or deleted; it may only be voided with a reason."""


class Record(models.Model):
    """An observation: append-only, sent once (client key), voided with a reason, never deleted.

    `made_at` is when it was made by the maker's clock, `received_at` by the server's. `typed_value` and
    `typed_unit` keep what the person typed beside the converted value.
    """

    VOID_FIELDS = frozenset({"voided_at", "voided_by", "voided_by_id", "void_reason"})

    client_key = models.UUIDField(unique=True, default=uuid.uuid4)
    made_at = models.DateTimeField(default=timezone.now)
    received_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    typed_value = models.CharField(max_length=60, blank=True)
    typed_unit = models.CharField(max_length=20, blank=True)
    note = models.CharField(max_length=500, blank=True)
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    void_reason = models.CharField(max_length=200, blank=True)

    objects = RecordQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if self._state.adding is False:
            fields = kwargs.get("update_fields")
            if not fields or not set(fields) <= self.VOID_FIELDS:
                raise AppendOnlyError("A record is never changed: void it with a reason and add a new one.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise AppendOnlyError("A record is never deleted: void it with a reason.")

    @property
    def voided(self) -> bool:
        return self.voided_at is not None
