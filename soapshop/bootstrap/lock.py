"""A lock between processes that the system itself lets go when its holder ends, however it ends."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from soapshop.bootstrap.refusal import say

SECONDS_BETWEEN_LOOKS = 0.2


@contextmanager
def only_one_at_a_time(path: Path) -> Iterator[None]:
    """Hold the lock kept in this file; wait, and say so, while another start holds it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+b") as file:
        has_said = False
        while not _taken(file):
            if not has_said:
                say("Another start is setting up just now. Waiting for it to finish.")
                has_said = True
            time.sleep(SECONDS_BETWEEN_LOOKS)
        yield


def _taken(file: IO[bytes]) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(0, os.SEEK_SET)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
