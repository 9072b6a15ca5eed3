"""Static files: our own apps' folders, and named files out of installed packages. Nothing comes from another host."""

import importlib.util
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.finders import AppDirectoriesFinder, BaseFinder
from django.core.files.storage import FileSystemStorage, Storage
from whitenoise.storage import CompressedManifestStaticFilesStorage

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


class HashedStaticStorage(CompressedManifestStaticFilesStorage):
    """Names that carry the content's hash, so that a browser may keep a file for good."""
