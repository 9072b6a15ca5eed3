"""What happens on each start: make sure of the environment, go into it, then hand over to Django or to the tests."""

import os
import subprocess
import sys
from pathlib import Path

from soapshop.bootstrap import environment, libraries, suite
from soapshop.bootstrap.lock import only_one_at_a_time
from soapshop.bootstrap.refusal import StartRefused, say

ROOT = Path(__file__).resolve().parent.parent.parent
# Commands that draw papers or serve the shop, and so look for the system's libraries first.
LOOKS_FOR_LIBRARIES = ("demo", "serve", "test", "bench")


def main(argv: list[str]) -> int:
    """Run the command and return its exit status: 0 done, 2 refused with the reason on standard error."""
    os.chdir(ROOT)
    command = argv[1] if len(argv) > 1 else "help"
    try:
        if is_own_environment() or os.environ.get("SOAPSHOP_NO_VENV") == "1":
            return run(command, argv)
        python = prepared_python(command)
    except StartRefused as refusal:
        say(str(refusal))
        return 2
    return hand_over(python, argv)


def is_own_environment() -> bool:
    return Path(sys.prefix).resolve() == (ROOT / environment.FOLDER).resolve()


def prepared_python(command: str) -> Path:
    """Return the Python of the shop's own environment, which then holds all that the command needs."""
    extras = wanted_extras(command)
    place = environment.Environment(ROOT)
    if not place.is_ready(extras):
        with only_one_at_a_time(ROOT / ".data" / "setting-up.lock"):
            libraries.ensure_venv_module()
            place.prepare(extras)
    if command in LOOKS_FOR_LIBRARIES:
        libraries.ensure(already_tried=place.stamp("libraries"))
    return place.python


def wanted_extras(command: str) -> tuple[str, ...]:
    extras = ("solver", "test", "browser") if command == "test" else ("solver",)
    is_postgresql = os.environ.get("DATABASE_URL", "").startswith(("postgres:", "postgresql:"))
    return (*extras, "postgres") if is_postgresql else extras


def hand_over(python: Path, argv: list[str]) -> int:
    """Go on inside the environment. Does not return where the system can replace a process (not on Windows)."""
    line = [str(python), str(ROOT / "manage.py"), *argv[1:]]
    variables = libraries.variables_for_libraries(dict(os.environ))
    if os.name == "posix":
        sys.stdout.flush()
        sys.stderr.flush()
        os.execve(line[0], line, variables)  # noqa: S606
    return subprocess.call(line, env=variables)


def run(command: str, argv: list[str]) -> int:
    """Run the command in this very process."""
    if command == "test":
        return suite.run(argv[2:])
    if command in ("demo", "bench"):
        # Settings then choose the demo's own folder and database, whatever DATABASE_URL says.
        os.environ["SOAPSHOP_DEMO"] = "1"
    if command == "bench":
        # A demo shop again, but one of its own that may be filled and thrown away.
        data = Path(os.environ.get("SOAPSHOP_DATA_DIR") or ROOT / ".data")
        os.environ["SOAPSHOP_DATA_DIR"] = str(data / "bench")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "soapshop.settings")
    try:
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
    except ImportError as fault:
        raise StartRefused(
            f"{fault.name} is not installed for {sys.executable}. "
            "Start without SOAPSHOP_NO_VENV, and the shop gets its own packages: python3 manage.py demo"
        ) from fault
    try:
        execute_from_command_line(argv)
    except ImproperlyConfigured as refusal:
        raise StartRefused(str(refusal)) from refusal
    return 0
