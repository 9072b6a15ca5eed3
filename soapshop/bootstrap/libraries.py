"""The system's own libraries, needed to draw papers (Pango and its neighbors). Looked for by loading them, not by the
names of packages. The shop runs without them; only its PDFs then wait.
"""

import ctypes
import importlib.util
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from soapshop.bootstrap.refusal import StartRefused, say


@dataclass(frozen=True)
class Library:
    """A shared library by the names it has on Linux, macOS and Windows, and its package on Debian and Ubuntu."""

    file_names: tuple[str, ...]
    debian_package: str


LIBRARIES = (
    Library(("libpango-1.0.so.0", "libpango-1.0.0.dylib", "libpango-1.0-0.dll"), "libpango-1.0-0"),
    Library(("libpangoft2-1.0.so.0", "libpangoft2-1.0.0.dylib", "libpangoft2-1.0-0.dll"), "libpangoft2-1.0-0"),
    Library(
        ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib", "libharfbuzz-subset-0.dll"), "libharfbuzz-subset0"
    ),
    Library(("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig-1.dll"), "libfontconfig1"),
)
FONT_PACKAGE = "fonts-dejavu-core"
VENV_PACKAGE = "python3-venv"
FONT_FOLDERS = ("/usr/share/fonts", "/usr/local/share/fonts", "~/.fonts", "~/.local/share/fonts")
HOMEBREW_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib")
MSYS2_FOLDER = r"C:\msys64\mingw64\bin"


def missing_packages() -> list[str]:
    """Return Debian's names for what cannot be loaded here."""
    missing = [library.debian_package for library in LIBRARIES if not _loads(library)]
    if sys.platform == "linux" and not _has_a_font():
        missing.append(FONT_PACKAGE)
    return missing


def _loads(library: Library) -> bool:
    return any(_opens(folder + name) for folder in ("", *_extra_folders()) for name in library.file_names)


def _extra_folders() -> tuple[str, ...]:
    if sys.platform == "darwin":
        return tuple(f"{folder}/" for folder in HOMEBREW_FOLDERS)
    return (MSYS2_FOLDER + "\\",) if sys.platform == "win32" else ()


def _opens(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _has_a_font() -> bool:
    folders = (Path(folder).expanduser() for folder in FONT_FOLDERS)
    return any(next(folder.rglob(f"*.{kind}"), None) for folder in folders for kind in ("ttf", "otf", "ttc"))


def variables_for_libraries(variables: dict[str, str]) -> dict[str, str]:
    """Return the environment of the next process, which must find what lies outside the system's usual folders."""
    if sys.platform == "darwin":
        variables.setdefault("DYLD_FALLBACK_LIBRARY_PATH", ":".join(HOMEBREW_FOLDERS))
    if sys.platform == "win32" and Path(MSYS2_FOLDER).is_dir():
        variables.setdefault("WEASYPRINT_DLL_DIRECTORIES", MSYS2_FOLDER)
    return variables


def can_install() -> bool:
    return os.name == "posix" and os.geteuid() == 0 and shutil.which("apt-get") is not None


def apt_install(packages: list[str]) -> bool:
    """Install Debian packages; where that fails, read the lists anew and try once more."""
    say(f"Installing from the system's packages: {' '.join(packages)} …")
    variables = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    line = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *packages]
    for attempt in (line, ["apt-get", "update", "-q"], line):
        done = subprocess.run(attempt, capture_output=True, env=variables, check=False)
        if attempt is line and done.returncode == 0:
            return True
    return False


def line_to_type(packages: list[str], *, platform: str = sys.platform) -> str:
    """Return the one line that installs the missing Debian packages, or their like on another system."""
    if platform == "darwin":
        return "brew install pango"
    if platform == "win32":
        return "pacman -S mingw-w64-x86_64-pango  (in the MSYS2 shell, from msys2.org)"
    return "sudo apt-get install --no-install-recommends " + " ".join(packages)


def ensure(*, already_tried: Path) -> None:
    """See that papers can be drawn: install what is missing where allowed, else print the line that does.

    The attempt is made once and noted in the file `already_tried`, so that a machine without a network starts fast.
    """
    missing = missing_packages()
    if not missing:
        return
    if can_install() and not already_tried.exists():
        already_tried.parent.mkdir(parents=True, exist_ok=True)
        already_tried.touch()
        if apt_install(missing):
            missing = missing_packages()
    if missing:
        say(f"PDF papers need a few system libraries. All else works. To have them, type:\n    {line_to_type(missing)}")


def ensure_venv_module() -> None:
    """Debian and Ubuntu keep a part of Python's venv in a package of its own; without it .venv would be half made."""
    if _has_venv():
        return
    packages = [VENV_PACKAGE, *missing_packages()]
    if can_install() and apt_install(packages):
        importlib.invalidate_caches()
        if _has_venv():
            return
    raise StartRefused(
        f"Python's venv module is not complete on this computer. Type this line, then start again:\n"
        f"    {line_to_type(packages)}"
    )


def _has_venv() -> bool:
    return all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))
