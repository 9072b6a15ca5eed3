"""Environment variables, read by parsers that name the accepted values when they refuse one."""

import contextlib
import os
import secrets
from collections.abc import Mapping
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

YES = ("1", "yes", "true", "on")
NO = ("0", "no", "false", "off", "")
# check --deploy asks for 50 characters; 64 URL-safe bytes give 86.
SECRET_KEY_BYTES = 64


class SettingRefused(ImproperlyConfigured):
    """A variable of the environment holds something this program cannot use; the message says what it takes."""


class Environment:
    """The variables of one process. Every method takes the variable's name and what holds when it is not set."""

    def __init__(self, variables: Mapping[str, str]) -> None:
        self._variables = variables

    def text(self, name: str, default: str = "") -> str:
        return self._variables.get(name, default).strip()

    def flag(self, name: str, *, default: bool) -> bool:
        if name not in self._variables:
            return default
        word = self.text(name).lower()
        if word in YES:
            return True
        if word in NO:
            return False
        raise SettingRefused(f"{name} is {word!r}. Set it to 1 (or yes, true, on) or to 0 (or no, false, off).")

    def choice(self, name: str, default: str, *, choices: tuple[str, ...]) -> str:
        word = self.text(name, default).lower()
        if word not in choices:
            raise SettingRefused(f"{name} is {word!r}. Set it to one of: {', '.join(choices)}.")
        return word

    def whole_number(self, name: str, default: int, *, lowest: int, highest: int) -> int:
        text = self.text(name) or str(default)
        if not (text.isascii() and text.isdigit() and lowest <= int(text[:9]) <= highest):
            raise SettingRefused(f"{name} is {text!r}. Set it to a whole number from {lowest} to {highest}.")
        return int(text)

    def names(self, name: str, default: tuple[str, ...]) -> list[str]:
        """Return a list from "one.example, two.example"."""
        found = [part.strip() for part in self.text(name).split(",") if part.strip()]
        return found or list(default)

    def hosts(self, name: str, default: tuple[str, ...]) -> list[str]:
        found = self.names(name, default)
        for host in found:
            if "/" in host or " " in host:
                raise SettingRefused(
                    f"{name} holds {host!r}. Give host names only, parted by commas, as in: soap.example, 192.168.1.20."
                )
        return found

    def folder(self, name: str, default: Path) -> Path:
        text = self.text(name)
        if not text:
            return default
        path = Path(text).expanduser()
        if not path.is_absolute():
            raise SettingRefused(f"{name} is {text!r}. Give a full path that begins at the root of the disk.")
        return path


def made_folder(path: Path) -> Path:
    """Return the folder, made where it was not there yet."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise SettingRefused(
            f"The folder {path} could not be made ({fault.strerror}). "
            "Make the folder above it writable, or name another place in SOAPSHOP_DATA_DIR."
        ) from fault
    return path


def kept_secret_key(folder: Path) -> str:
    """Return the secret key kept in this folder; make it once, readable by its owner alone."""
    path = folder / "secret-key"
    try:
        return path.read_text(encoding="ascii").strip()
    except FileNotFoundError:
        made_folder(folder)
    try:
        # Written whole under another name, then linked, which never replaces: of two processes starting at once, the
        # second one finds the first one's key.
        draft = folder / f"secret-key.{secrets.token_hex(8)}"
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(SECRET_KEY_BYTES), encoding="ascii")
        with contextlib.suppress(FileExistsError):
            os.link(draft, path)
        draft.unlink()
    except OSError as fault:
        raise SettingRefused(
            f"The secret key could not be kept in {folder} ({fault.strerror}). "
            "Make that folder writable, or give the key in SOAPSHOP_SECRET_KEY."
        ) from fault
    return path.read_text(encoding="ascii").strip()
