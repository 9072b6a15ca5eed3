import sys


class StartRefused(Exception):
    """The start cannot go on; the message says why and what to do, for people."""


def say(sentence: str) -> None:
    """Write to standard error: standard output belongs to the command that was asked for."""
    print(sentence, file=sys.stderr, flush=True)
