"""What the house keeps for itself: the link by which its first owner comes in, and the codes that bring others."""

from __future__ import annotations

from django.db import models


class BeginLink(models.Model):
    """One row while nobody owns a book here: the SHA-256 of the one-time link's token, never the token."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    token_sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()


class JoinCode(models.Model):
    """A code by which somebody comes in on a phone, once: its SHA-256, never the code. The last one drawn for somebody
    ends the earlier ones. new_password: whoever uses it chooses a password (asked in, or one was forgotten)."""

    person = models.OneToOneField("barn.Person", on_delete=models.CASCADE, primary_key=True, related_name="+")
    code_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    new_password = models.BooleanField()
