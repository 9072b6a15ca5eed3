"""The shop's own Python environment in .venv: made once, filled with the pinned packages."""

import hashlib
import os
import subprocess
import sys
import tomllib
from pathlib import Path

from soapshop.bootstrap.refusal import StartRefused, say

FOLDER = ".venv"
CONSTRAINTS = Path("soapshop") / "constraints.txt"
# Extras whose packages do not exist for every machine: without "browser" its own tests are left out, without "solver"
# plans come from the list schedule alone.
MAY_FAIL = ("browser", "solver")
# Words in pip's own report that mean that the package index was out of reach.
OUT_OF_REACH = (
    "Connection",
    "connection",
    "Temporary failure",
    "timed out",
    "Name or service",
    "SSLError",
    "ProxyError",
)


class Environment:
    """One environment below the given folder of the project."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.folder = root / FOLDER
        self.python = self.folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

    def stamp(self, name: str) -> Path:
        """Return the file that says what was installed last; it goes away with the environment."""
        return self.folder / "stamps" / name

    def is_ready(self, extras: tuple[str, ...]) -> bool:
        return self.python.exists() and all(self._is_stamped(extra) for extra in ("base", *extras))

    def prepare(self, extras: tuple[str, ...]) -> None:
        """Make what is missing. The stamp is written last, so that a start that broke off is taken up again."""
        self._ensure_folder()
        for extra in ("base", *extras):
            if not self._is_stamped(extra):
                self._install(extra)

    def _ensure_folder(self) -> None:
        if self.python.exists() and self._python_version() == sys.version_info[:2]:
            return
        say("Making the shop's own Python environment in .venv …")
        line = [sys.executable, "-m", "venv", "--clear", str(self.folder)]
        made = subprocess.run(line, capture_output=True, text=True, check=False)
        if made.returncode:
            raise StartRefused(
                f"The environment in .venv could not be made. {_last_line(made.stdout + made.stderr)}\n"
                "Delete the folder .venv, see that Python's venv module is installed, and start again."
            )

    def _python_version(self) -> tuple[int, ...]:
        """Return (3, 11) for the Python that the environment was made with."""
        try:
            lines = (self.folder / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
        except OSError:
            return ()
        entries = {name.strip(): text.strip() for name, _, text in (line.partition("=") for line in lines)}
        parts = entries.get("version", "").split(".")
        return tuple(int(part) for part in parts[:2] if part.isdigit())

    def _requirements(self, extra: str) -> list[str]:
        project = tomllib.loads((self.root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
        return project["dependencies"] if extra == "base" else project["optional-dependencies"][extra]

    def _fingerprint(self, extra: str) -> str:
        """Return a hash over all that decides what is installed."""
        parts = (
            "{}.{}".format(*sys.version_info[:2]),
            *self._requirements("base"),
            *self._requirements(extra),
            (self.root / CONSTRAINTS).read_text(encoding="utf-8"),
        )
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()

    def _is_stamped(self, extra: str) -> bool:
        try:
            return self.stamp(extra).read_text(encoding="ascii").strip() == self._fingerprint(extra)
        except OSError:
            return False

    def _install(self, extra: str) -> None:
        say("Fetching the shop's packages …" if extra == "base" else f"Fetching the packages for: {extra} …")
        line = [str(self.python), "-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check"]
        line += ["--retries", "2", "-c", str(self.root / CONSTRAINTS), *self._requirements(extra)]
        done = subprocess.run(line, capture_output=True, text=True, check=False, cwd=self.root)
        if done.returncode and extra in MAY_FAIL:
            say(f"The packages for “{extra}” could not be installed; what needs them is left out of this run.")
            if is_out_of_reach(done.stdout + done.stderr):
                return
        elif done.returncode:
            raise StartRefused(why_pip_failed(done.stdout + done.stderr))
        self.stamp(extra).parent.mkdir(exist_ok=True)
        self.stamp(extra).write_text(self._fingerprint(extra), encoding="ascii")


def is_out_of_reach(report: str) -> bool:
    return any(word in report for word in OUT_OF_REACH)


def why_pip_failed(report: str) -> str:
    if is_out_of_reach(report):
        return (
            "The packages could not be fetched: the package index is out of reach. "
            "Connect this computer to the internet and start the same command again."
        )
    return f"The packages could not be installed: {_last_line(report)}\nMend that, then start the same command again."


def _last_line(report: str) -> str:
    lines = [line for line in report.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith("ERROR")]
    return (errors or lines or ["No reason was given."])[-1]
