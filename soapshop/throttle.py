"""Guessing at passwords is made slow: after a few wrong ones the same name from the same address has to wait."""

import hashlib
from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.http import HttpRequest

WRONG_TRIES = 8
WAIT_MINUTES = 10
TOO_MANY_TRIES = (
    f"Too many wrong passwords for this name. Wait {WAIT_MINUTES} minutes, then sign in again, "
    "or set a new password on the computer that runs the shop: python3 manage.py changepassword NAME"
)


def _tries_key(username: str, request: HttpRequest | None) -> str:
    address = request.META.get("REMOTE_ADDR", "") if request else ""
    return "sign-in:" + hashlib.sha256(f"{username.casefold()}\n{address}".encode()).hexdigest()


def _counted(key: str) -> int:
    try:
        return cache.incr(key)
    except ValueError:  # The count ran out between the two steps, so this is the first try of a new one.
        return 1


class ThrottledBackend(ModelBackend):
    """Django's accounts, with wrong tries counted by name and address in the cache."""

    def authenticate(
        self, request: HttpRequest | None, username: str | None = None, password: str | None = None, **kwargs: Any
    ) -> Any:
        if request is None or username is None:
            return super().authenticate(request, username=username, password=password, **kwargs)
        key = _tries_key(username, request)
        # Counted before the password is looked at, so that many tries at once cannot slip through together.
        cache.add(key, 0, timeout=WAIT_MINUTES * 60)
        if _counted(key) > WRONG_TRIES:
            raise ValidationError(TOO_MANY_TRIES, code="too-many-tries")
        user = super().authenticate(request, username=username, password=password, **kwargs)
        if user is not None:
            cache.delete(key)
        return user
