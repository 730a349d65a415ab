"""What the house keeps for itself: the link by which its first owner comes in, and the example farm."""

from __future__ import annotations

from django.db import models

from barnbook.barn.models import Farm, Person


class BeginLink(models.Model):
    """One row while nobody owns a book here: the SHA-256 of the one-time link's token, never the token."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    token_sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()


class ExampleMade(models.Model):
    """One row once the example farm is whole: written last, so that one broken off half-way is known for what it is."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    farm = models.ForeignKey(Farm, on_delete=models.CASCADE, related_name="+")
    owner = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
