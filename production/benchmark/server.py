"""The serving process from outside: its memory after a number of answers, and the way from a bare clone to a page."""

import http.client
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import urlencode

from django.conf import settings

from production.benchmark.results import ServerCost

HOST = "127.0.0.1"
ANSWERS = 50
SECONDS_TO_START = 120
SECONDS_FOR_A_CLONE = 1200
SECONDS_BETWEEN_LOOKS = 0.1
# What this process was told about its own shop; a clone finds its own.
OWN_VARIABLES = ("SOAPSHOP_", "DJANGO_", "DATABASE_URL", "VIRTUAL_ENV", "PYTHON")


class CannotMeasure(Exception):
    """This figure cannot be had on this machine; the message says why."""


def server_cost(paths: Iterable[str], *, username: str, password: str) -> ServerCost:
    """Serve the benchmark's shop in a process of its own, ask for its pages, and look how large it has grown."""
    with served_shop() as (port, process):
        cookie = sign_in(port, username=username, password=password)
        asked = list(paths)
        for number in range(ANSWERS):
            get(port, asked[number % len(asked)], cookie=cookie)
        return ServerCost(ANSWERS, mebibytes_of(process.pid))


@contextmanager
def served_shop() -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """Serve the benchmark's shop in a process of its own; return its port once it answers."""
    port = free_port()
    line = [sys.executable, str(settings.BASE_DIR / "manage.py"), "demo", "--port", str(port)]
    environment = {**os.environ, "SOAPSHOP_DATA_DIR": str(settings.DATA_DIR.parent), "SOAPSHOP_NO_VENV": "1"}
    with running(line, environment=environment, folder=settings.BASE_DIR) as process:
        wait_for_answer(port, process, seconds=SECONDS_TO_START)
        yield port, process


def seconds_from_clone() -> float:
    """Clone this repository, start its demo with nothing but Python, and wait for the first answer."""
    git = shutil.which("git")
    python = shutil.which("python3") or sys.executable
    if git is None:
        raise CannotMeasure("git is not installed, so nothing could be cloned.")
    with tempfile.TemporaryDirectory(prefix="soapshop-clone-") as folder:
        clone, home, port = Path(folder) / "clone", Path(folder) / "home", free_port()
        home.mkdir()
        kept = {name: text for name, text in os.environ.items() if not name.startswith(OWN_VARIABLES)}
        began = time.monotonic()
        subprocess.run([git, "clone", "--quiet", str(settings.BASE_DIR), str(clone)], check=True)  # noqa: S603
        line = [python, str(clone / "manage.py"), "demo", "--port", str(port)]
        with running(line, environment={**kept, "HOME": str(home)}, folder=clone) as process:
            wait_for_answer(port, process, seconds=SECONDS_FOR_A_CLONE)
            return time.monotonic() - began


@contextmanager
def running(line: list[str], *, environment: dict[str, str], folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """Run a server and stop it afterwards, whatever happens."""
    quiet = subprocess.DEVNULL
    process = subprocess.Popen(line, env=environment, cwd=folder, stdout=quiet, stderr=quiet)  # noqa: S603
    try:
        yield process
    finally:
        process.terminate()
        process.wait(timeout=30)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
        return port


def wait_for_answer(port: int, process: subprocess.Popen[bytes], *, seconds: float) -> None:
    give_up = time.monotonic() + seconds
    while time.monotonic() < give_up:
        if process.poll() is not None:
            raise CannotMeasure(f"The server stopped by itself with exit status {process.returncode}.")
        try:
            if get(port, "/up").status == http.client.OK:
                return
        except OSError:
            time.sleep(SECONDS_BETWEEN_LOOKS)
    raise CannotMeasure(f"The server gave no answer within {seconds:.0f} seconds.")


def get(port: int, path: str, *, cookie: str = "") -> http.client.HTTPResponse:
    with closing(http.client.HTTPConnection(HOST, port, timeout=60)) as connection:
        connection.request("GET", path, headers={"Cookie": cookie} if cookie else {})
        answer = connection.getresponse()
        answer.read()
        return answer


def cookies_of(answer: http.client.HTTPResponse) -> str:
    return "; ".join(line.partition(";")[0] for line in answer.headers.get_all("Set-Cookie") or ())


def sign_in(port: int, *, username: str, password: str) -> str:
    """Return the cookie of a session."""
    token = cookies_of(get(port, "/sign-in/"))
    answer = post(port, "/sign-in/", {"username": username, "password": password}, cookie=token)
    if answer.status != http.client.FOUND:
        raise CannotMeasure(f"The benchmark could not sign in (status {answer.status}).")
    return cookies_of(answer)


def post(port: int, path: str, form: dict[str, str], *, cookie: str, seconds: float = 60) -> http.client.HTTPResponse:
    """Send a form with the proof that it comes from this session."""
    token = next((part.partition("=")[2] for part in cookie.split("; ") if "csrf" in part.partition("=")[0]), "")
    headers = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
    with closing(http.client.HTTPConnection(HOST, port, timeout=seconds)) as connection:
        connection.request("POST", path, urlencode({**form, "csrfmiddlewaretoken": token}), headers)
        answer = connection.getresponse()
        answer.read()
        return answer


def mebibytes_of(process_id: int) -> float:
    """Return the memory a process holds now (resident set), in mebibytes."""
    ps = shutil.which("ps")
    status = Path(f"/proc/{process_id}/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmRSS:"))
        return int(line.split()[1]) / 1024
    if ps is None:
        raise CannotMeasure("This system does not say how much memory a process holds.")
    told = subprocess.run([ps, "-o", "rss=", "-p", str(process_id)], capture_output=True, text=True, check=True)  # noqa: S603
    return int(told.stdout) / 1024
