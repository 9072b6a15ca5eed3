"""Private addresses that cannot be guessed: worked out from a random seed and the shop's secret key.

A row keeps the seed and a digest. Who reads the database alone learns no address; who has the address finds its row.
"""

import hashlib
import secrets

from django.utils.crypto import salted_hmac

SEED_BYTES = 24


def new_seed() -> str:
    return secrets.token_urlsafe(SEED_BYTES)


def key_of(seed: str, *, purpose: str) -> str:
    """Return the part of the address that stands for the seed: 64 figures, 256 bits."""
    return salted_hmac(f"orders.{purpose}", seed, algorithm="sha256").hexdigest()


def digest_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
