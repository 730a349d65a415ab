"""A code that works once, for ten minutes: read from the owner's screen by the phone that is to come in.

One way in for all of it: somebody new, somebody's second phone, a password that was forgotten.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from barnbook.barn.models import Person
from barnbook.house.empty_book import PASSWORD_SENTENCES
from barnbook.house.models import JoinCode

LASTS = timedelta(minutes=10)
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # no l and 1, no o and 0
LENGTH = 10  # 31^10 = 8e14: with 20 tries a minute for ten minutes, a guess is hopeless


class CodeEndedError(Exception):
    """No such code: it was used, is older than ten minutes, or another was drawn since."""


class PasswordError(Exception):
    """The password cannot be taken: the text says why."""


def draw(person: Person, *, now: datetime, new_password: bool = False) -> str:
    """A new code for that person, which ends any earlier one."""
    code = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
    asks = new_password or not person.has_usable_password()
    JoinCode.objects.update_or_create(
        person=person, defaults={"code_sha256": _hash(code), "made_at": now, "new_password": asks}
    )
    return f"{code[:5]}-{code[5:]}"


def of_code(code: str, *, now: datetime) -> JoinCode:
    """What that code stands for. Raises CodeEndedError."""
    found = JoinCode.objects.select_related("person__farm").filter(code_sha256=_hash(code)).first()
    if found is None or now - found.made_at >= LASTS or not found.person.is_active:
        raise CodeEndedError
    return found


def join(code: str, password: str, *, now: datetime) -> Person:
    """Use the code up; the person who comes in by it, with the new password where one is asked for.

    Raises CodeEndedError, PasswordError; then the code is as it was.
    """
    with transaction.atomic():
        found = of_code(code, now=now)
        person = found.person
        if found.new_password:
            check_password_of(person, password)
            person.set_password(password)
            person.save(update_fields=["password"])
        if not JoinCode.objects.filter(person=person, code_sha256=found.code_sha256).delete()[0]:
            raise CodeEndedError  # another phone was first
    return person


def check_password_of(person: Person, password: str) -> None:
    """Raises PasswordError with a sentence where it is too weak."""
    try:
        validate_password(password, user=person)
    except ValidationError as error:
        first = error.error_list[0]
        raise PasswordError(PASSWORD_SENTENCES.get(first.code or "", " ".join(first.messages))) from None


def _hash(code: str) -> str:
    plain = "".join(letter for letter in code.lower() if letter.isalnum())
    return hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()
