import os
import subprocess
import sys
from pathlib import Path

import pytest

from soapshop.bootstrap import libraries, start, suite
from soapshop.bootstrap.refusal import StartRefused

ROOT = Path(__file__).parents[3]


def manage(*words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    kept = {name: text for name, text in os.environ.items() if name not in ("PYTEST_VERSION", "DATABASE_URL")}
    return subprocess.run(
        [sys.executable, "manage.py", *words], cwd=ROOT, env={**kept, **variables}, capture_output=True, text=True
    )


@pytest.mark.parametrize(
    ("command", "database", "extras"),
    (
        ("demo", "", ("solver",)),
        ("test", "", ("solver", "test", "browser")),
        ("serve", "postgresql://localhost/shop", ("solver", "postgres")),
        ("test", "postgresql://localhost/shop", ("solver", "test", "browser", "postgres")),
        ("serve", "sqlite:////srv/shop.sqlite3", ("solver",)),
    ),
)
def test_a_command_fetches_what_it_needs(monkeypatch, command, database, extras):
    monkeypatch.setenv("DATABASE_URL", database)
    assert start.wanted_extras(command) == extras


def test_a_python_without_venv_is_refused_with_the_line_to_type(monkeypatch):
    monkeypatch.setattr(libraries, "_has_venv", lambda: False)
    monkeypatch.setattr(libraries, "can_install", lambda: False)
    monkeypatch.setattr(libraries, "missing_packages", list)
    with pytest.raises(StartRefused, match="venv module is not complete"):
        libraries.ensure_venv_module()


def test_a_python_with_venv_goes_on():
    libraries.ensure_venv_module()


def test_a_setting_that_cannot_be_used_is_refused_with_status_2(tmp_path):
    done = manage("check", SOAPSHOP_NO_VENV="1", SOAPSHOP_DEBUG="maybe", SOAPSHOP_DATA_DIR=str(tmp_path))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == ("SOAPSHOP_DEBUG is 'maybe'. Set it to 1 (or yes, true, on) or to 0 (or no, false, off).\n")


def test_production_settings_are_found_sound(tmp_path):
    done = manage(
        "check", "--deploy", "--fail-level", "WARNING",
        SOAPSHOP_NO_VENV="1", SOAPSHOP_HTTPS="1", SOAPSHOP_ALLOWED_HOSTS="soap.example",
        SOAPSHOP_DATA_DIR=str(tmp_path),
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")


def test_the_demo_never_looks_at_a_shops_database(tmp_path):
    ask = "from django.conf import settings; print(settings.DATABASES['default']['NAME'])"
    done = manage(
        "shell", "--no-imports", "-c", ask,
        SOAPSHOP_NO_VENV="1", SOAPSHOP_DEMO="1", SOAPSHOP_DATA_DIR=str(tmp_path),
        DATABASE_URL=f"sqlite:///{tmp_path}/real-shop.sqlite3",
    )  # fmt: skip
    assert done.stdout == f"{tmp_path}/demo/shop.sqlite3\n"


def test_what_is_left_out_is_said_with_how_to_get_it(monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "")
    monkeypatch.setattr(suite.importlib.util, "find_spec", lambda name: name)
    monkeypatch.setattr(suite.shutil, "which", lambda name: None)
    assert suite.what_is_left_out()[0] == "browser tests (get them with: sudo apt-get install chromium)"


def test_nothing_is_left_out_on_a_full_machine(monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgresql://localhost/shop")
    monkeypatch.setattr(suite.importlib.util, "find_spec", lambda name: name)
    monkeypatch.setattr(suite.shutil, "which", lambda name: f"/usr/bin/{name}")
    assert suite.what_is_left_out() == []
