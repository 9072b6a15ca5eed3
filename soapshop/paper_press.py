"""Papers made in a process beside the server, with limits of time and memory: no page can take the server down.

The process stays for the next paper (loading takes a second or two), goes when it has grown, and after a quiet while.
What is sent to it are our own frozen records; what comes back is the paper or a sentence.
"""

import atexit
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Literal

from soapshop.paper import PaperRefused, PaperUnavailable

MOST_SECONDS = 180  # 300 labels with codes took 23 on an idle computer of two cores, 89 on a busy one (measured)
WAIT_FOR_TURN_SECONDS = 60
MOST_MEMORY_BYTES = 1_500_000_000  # of address space; a sheet of 300 labels needs about a third
GROWN_BYTES = 400_000_000
QUIET_SECONDS = 120.0
SIZE_BYTES = 8
ROOT = Path(__file__).resolve().parent.parent
TOO_LONG = "This paper took longer than {seconds} seconds and was stopped. Print fewer at a time, or shorter words."
TOO_BIG = "This paper needed more memory than a paper may have. Print fewer at a time, or shorter words."
BUSY = "Other papers are being printed just now. Try again in a minute."

Outcome = Literal["paper", "refused", "unavailable", "too_big"]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the process beside sends back; `grown_bytes` is the most memory it ever held."""

    outcome: Outcome
    pdf: bytes = b""
    words: str = ""
    grown_bytes: int = 0


class Press:
    """One process beside, started with the first paper; threads take turns."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._quiet: threading.Timer | None = None

    def print(self, make: Callable[[Any], bytes], record: Any, *, seconds: int = MOST_SECONDS) -> bytes:
        """Return what `make(record)` returns there. Raises PaperRefused or PaperUnavailable with its sentence."""
        if not self._turn.acquire(timeout=WAIT_FOR_TURN_SECONDS):
            raise PaperRefused(BUSY)
        try:
            answer = self._asked(make, record, seconds)
            if answer.grown_bytes > GROWN_BYTES:
                self._end()
            self._end_when_quiet()
        finally:
            self._turn.release()
        if answer.outcome == "paper":
            return answer.pdf
        if answer.outcome == "unavailable":
            raise PaperUnavailable(answer.words)
        raise PaperRefused(answer.words)

    @property
    def is_running(self) -> bool:
        return self._process is not None and self._process.poll() is None

    def close(self) -> None:
        """End the process; the next paper starts another."""
        with self._turn:
            self._end()

    def _asked(self, make: Callable[[Any], bytes], record: Any, seconds: int) -> Answer:
        process = self._running()
        is_late = threading.Event()

        def stop() -> None:
            is_late.set()
            process.kill()

        clock = threading.Timer(seconds, stop)
        clock.start()
        try:
            _send(process.stdin, (make, record))
            return _receive(process.stdout)
        except (EOFError, OSError, pickle.UnpicklingError):
            self._end()
            return Answer("refused", words=TOO_LONG.format(seconds=seconds) if is_late.is_set() else TOO_BIG)
        finally:
            clock.cancel()

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self._process = subprocess.Popen(
                [sys.executable, "-c", "from soapshop.paper_press import serve; serve()"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                cwd=ROOT,
            )
        return self._process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                try:
                    pipe.close()
                except OSError:
                    continue  # what was still to be sent has nobody to read it

    def _end_when_quiet(self) -> None:
        if self._quiet is not None:
            self._quiet.cancel()
        self._quiet = threading.Timer(QUIET_SECONDS, self.close)
        self._quiet.daemon = True
        self._quiet.start()


_press = Press()
atexit.register(_press.close)


def print_beside(make: Callable[[Any], bytes], record: Any) -> bytes:
    """Make a paper from its frozen record in the process beside this one; `make` is a function of a module."""
    return _press.print(make, record)


def close_press() -> None:
    """Give the memory back now."""
    _press.close()


def _send(pipe: IO[bytes] | None, thing: Any) -> None:
    assert pipe is not None
    packed = pickle.dumps(thing)
    pipe.write(len(packed).to_bytes(SIZE_BYTES, "big") + packed)
    pipe.flush()


def _receive(pipe: IO[bytes] | None) -> Any:
    assert pipe is not None
    size = pipe.read(SIZE_BYTES)
    if len(size) < SIZE_BYTES:
        raise EOFError
    return pickle.loads(pipe.read(int.from_bytes(size, "big")))  # noqa: S301  between our own two processes only


def _limit_this_process() -> None:
    """Bound the memory. Systems without such limits keep the time limit alone."""
    try:
        import resource
    except ImportError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    wanted = MOST_MEMORY_BYTES if most == resource.RLIM_INFINITY else min(MOST_MEMORY_BYTES, most)
    resource.setrlimit(resource.RLIMIT_AS, (wanted, most))


def _grown_bytes() -> int:
    """Return the most memory this process held. Linux hands a parent's peak on in ``ru_maxrss``, so its own is read."""
    own = Path("/proc/self/status")
    if own.exists():
        peak = next((line for line in own.read_text().splitlines() if line.startswith("VmHWM:")), "")
        if peak:
            return int(peak.split()[1]) * 1024
    try:
        import resource
    except ImportError:
        return 0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most if sys.platform == "darwin" else most * 1024


def _made(make: Callable[[Any], bytes], record: Any) -> Answer:
    try:
        return Answer("paper", pdf=make(record), grown_bytes=_grown_bytes())
    except PaperUnavailable as missing:
        return Answer("unavailable", words=str(missing))
    except PaperRefused as refusal:
        return Answer("refused", words=str(refusal), grown_bytes=_grown_bytes())
    except MemoryError:
        return Answer("too_big", words=TOO_BIG, grown_bytes=GROWN_BYTES + 1)


def serve() -> None:
    """Answer one paper after the other until the server is gone."""
    questions, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever prints to the standard output must not reach the answers
    _limit_this_process()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "soapshop.settings")
    import django

    django.setup()
    while True:
        try:
            make, record = _receive(questions)
        except EOFError:
            return
        _send(answers, _made(make, record))
