"""Watch a long search: how far it is, and the wish to stop it with the best plan so far."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any


class Watch:
    """`tell` is called with the late days of each better plan; `stop` may be called from another thread."""

    def __init__(self, tell: Callable[[int], None] | None = None) -> None:
        self._tell = tell
        self._stop = threading.Event()
        self._ends_at: float | None = None
        self._solver: Any = None

    @property
    def is_stopped(self) -> bool:
        return self._stop.is_set()

    @property
    def is_over(self) -> bool:
        """Stopped by a person, or past the time that `within` gave."""
        return self.is_stopped or (self._ends_at is not None and time.monotonic() > self._ends_at)

    def note(self, late_days: int) -> None:
        if self._tell is not None:
            self._tell(late_days)

    def stop(self) -> None:
        self._stop.set()
        if self._solver is not None:
            self._solver.stop_search()

    @contextmanager
    def within(self, seconds: float | None) -> Iterator[None]:
        """Let the work inside take so many seconds; None means no end of its own."""
        self._ends_at = None if seconds is None else time.monotonic() + seconds
        try:
            yield
        finally:
            self._ends_at = None

    @contextmanager
    def solving(self, solver: Any) -> Iterator[None]:
        """While the solver runs, a wish to stop reaches it."""
        self._solver = solver
        try:
            yield
        finally:
            self._solver = None


UNWATCHED = Watch()
