"""What the house keeps for itself: the link by which its first owner comes in."""

from __future__ import annotations

from django.db import models


class BeginLink(models.Model):
    """One row while nobody owns a book here: the SHA-256 of the one-time link's token, never the token."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    token_sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()
