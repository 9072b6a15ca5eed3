"""Makers of papers that go wrong, for the process beside the server."""

import os

from soapshop.paper import PaperUnavailable


def echo(record: bytes) -> bytes:
    return record


def unavailable(words: str) -> bytes:
    raise PaperUnavailable(words)


def endless(_record: None) -> bytes:
    while True:
        pass


def greedy(size: int) -> bytes:
    return b"x" * (2 * size)


def grown(size: int) -> bytes:
    """Hold that much for a moment; an ordinary answer."""
    held = bytearray(size)
    held[::4096] = b"\x01" * len(held[::4096])
    return b"grown"


def dying(_record: None) -> bytes:
    os._exit(3)
