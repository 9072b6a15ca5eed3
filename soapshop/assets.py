"""Static files: our own apps' folders, and named files out of installed packages. Nothing comes from another host."""

import hashlib
import importlib.util
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import AppDirectoriesFinder, BaseFinder, get_finders
from django.contrib.staticfiles.storage import ManifestStaticFilesStorage
from django.core.files.storage import FileSystemStorage, Storage
from django.core.management import call_command

OWN_APPS = ("soapshop", "formulas", "orders", "production", "django.contrib.admin")

# Name under /static/ → (package, file inside it). Only these leave their package: django-htmx alone ships 40 files.
PACKAGE_FILES: dict[str, tuple[str, str]] = {
    "htmx/htmx.min.js": ("django_htmx", "static/django_htmx/htmx-2.min.js"),
    "fonts/noto-sans.ttf": ("fontpkg_noto_sans", "files/NotoSans[wdth,wght].ttf"),
    "fonts/noto-sans-italic.ttf": ("fontpkg_noto_sans", "files/NotoSans-Italic[wdth,wght].ttf"),
    "fonts/source-serif-4.ttf": ("fontpkg_source_serif_4", "files/SourceSerif4[opsz,wght].ttf"),
    "fonts/source-serif-4-italic.ttf": ("fontpkg_source_serif_4", "files/SourceSerif4-Italic[opsz,wght].ttf"),
}


def package_folder(package: str) -> Path:
    """Return where an installed package lies, without running its code."""
    spec = importlib.util.find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError(
            f"The package {package} is not installed. Start once more with: python3 manage.py demo"
        )
    return Path(next(iter(spec.submodule_search_locations)))


def package_file(name: str) -> Path:
    """Return the file in its package for a name in PACKAGE_FILES."""
    package, inside = PACKAGE_FILES[name]
    return package_folder(package) / inside


class PackageFileStorage(FileSystemStorage):
    """The files of PACKAGE_FILES under their names here; each lies elsewhere on disk."""

    def path(self, name: str) -> str:
        return str(package_file(name))


class OwnAppsFinder(AppDirectoriesFinder):
    def __init__(self, app_names: Sequence[str] | None = None, *args: Any, **kwargs: Any) -> None:
        super().__init__(app_names or OWN_APPS, *args, **kwargs)


class PackageFilesFinder(BaseFinder):
    storage = PackageFileStorage()

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        name = path.replace("\\", "/")
        if name not in PACKAGE_FILES:
            return []
        found = str(package_file(name))
        return [found] if find_all else found

    def list(self, ignore_patterns: Any) -> Iterator[tuple[str, Storage]]:
        for name in PACKAGE_FILES:
            yield name, self.storage


class HashedStaticStorage(ManifestStaticFilesStorage):
    """Names that carry the content's hash, so that a browser may keep a file for good.

    Files are not compressed ahead: on a workshop's own network it gains nothing and costs 45 seconds for the fonts.
    """


def ensure_collected() -> None:
    """Lay the static files out under hashed names, unless just these files are laid out already (saves a second)."""
    root = Path(settings.STATIC_ROOT)
    note, wanted = root / ".laid-out", _fingerprint()
    if note.is_file() and note.read_text(encoding="ascii") == wanted:
        return
    note.unlink(missing_ok=True)
    call_command("collectstatic", interactive=False, clear=True, verbosity=0)
    note.write_text(wanted, encoding="ascii")


def _fingerprint() -> str:
    """Return a hash over names, sizes and times of all files that are laid out."""
    parts = []
    for finder in get_finders():
        for name, storage in finder.list([]):
            facts = os.stat(storage.path(name))
            parts.append(f"{name} {facts.st_size} {facts.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(parts)).encode()).hexdigest()
