"""Buyers, suppliers, and owners of wood that is dried for a fee."""

from django.db import models

from .base import Edited


class Contact(Edited):
    name = models.CharField(max_length=120)
    is_buyer = models.BooleanField(default=False)
    is_supplier = models.BooleanField(default=False)
    is_owner = models.BooleanField(default=False, help_text="We dry this person's wood for a fee.")
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    note = models.TextField(blank=True)
    hidden_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        indexes = [models.Index(fields=["name"], name="contact_name")]

    def __str__(self):
        return self.name
