"""Several people drawing from one lot at the same moment, by real processes: exactly what is there is given out."""

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from urllib.parse import quote

import pytest
from django.conf import settings
from django.db import connection

from formulas.models import Material
from production.lot_states import LotState
from production.stock.actions import receive_lot
from production.stock.models import Lot
from soapshop.models import User, Workshop
from tests.production.stores_shop import RECEIVED, TODAY, assert_balanced

PEOPLE = 3
# Each says it is ready, waits for the word, then takes until the lot refuses.
TAKE = """
import django, json, sys
django.setup()
from datetime import date
from decimal import Decimal
from production.stock.actions import StockRefusal, draw_from_lot
from soapshop.models import User
by = User.objects.get(username="owner")
print("ready", flush=True)
sys.stdin.readline()
taken = 0
try:
    while True:
        draw_from_lot(lot_id=int(sys.argv[1]), grams=Decimal(7), on=date(2026, 5, 12), by=by, batch_id=None)
        taken += 1
except StockRefusal as refusal:
    print(json.dumps({"taken": taken, "said": str(refusal)}))
"""


@pytest.fixture
def shop_on_disk(tmp_path: Path, transactional_db: None, owner: User) -> dict[str, str]:
    """Return an environment in which other processes see this test's rows: PostgreSQL as it is, SQLite from a file."""
    inherited = {name: text for name, text in os.environ.items() if name != "PYTEST_VERSION"}
    environment = inherited | {
        "DJANGO_SETTINGS_MODULE": "soapshop.settings",
        "SOAPSHOP_DATA_DIR": str(tmp_path),
        "PYTHONPATH": str(settings.BASE_DIR),
    }
    if connection.vendor == "sqlite":
        return environment | {"DATABASE_URL": f"sqlite:///{tmp_path}/shop.sqlite3"}
    facts = {name: quote(str(connection.settings_dict[name]), safe="") for name in ("USER", "PASSWORD", "HOST", "NAME")}
    port = connection.settings_dict["PORT"]
    place = f"{facts['USER']}:{facts['PASSWORD']}@{f':{port}' if port else ''}"
    return environment | {"DATABASE_URL": f"postgresql://{place}/{facts['NAME']}?host={facts['HOST']}"}


def copy_out(tmp_path: Path) -> None:
    """Write this test's rows into the file that the other processes open; PostgreSQL has them already."""
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(tmp_path / "shop.sqlite3")) as file:
            connection.connection.backup(file)


def copy_back(tmp_path: Path) -> None:
    """Take the file's rows into this test's database again."""
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(tmp_path / "shop.sqlite3")) as file:
            file.backup(connection.connection)


def test_three_people_empty_one_lot_and_nobody_takes_more(shop_on_disk, owner, tmp_path):
    Workshop.current()
    oil = Material.objects.create(name="Almond oil", kind="fat")
    lot = receive_lot(material=oil, received_on=RECEIVED, grams=Decimal(300), by=owner)
    copy_out(tmp_path)
    people = [
        subprocess.Popen(
            [sys.executable, "-c", TAKE, str(lot.pk)],
            env=shop_on_disk,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(PEOPLE)
    ]
    assert [person.stdout.readline() for person in people] == ["ready\n"] * PEOPLE
    for person in people:
        person.stdin.write("go\n")
        person.stdin.flush()
    said = [person.communicate(timeout=60) for person in people]
    assert [person.returncode for person in people] == [0] * PEOPLE, [faults for _, faults in said]
    answers = [json.loads(out) for out, _ in said]
    copy_back(tmp_path)
    lot = Lot.objects.get(pk=lot.pk)
    # 300 g give 42 times 7 g and leave 6 g (worked by hand).
    assert sum(answer["taken"] for answer in answers) == 42
    assert (lot.grams_left, lot.status, lot.opened_on) == (6, LotState.RELEASED.value, TODAY)
    assert {answer["said"].split(", but")[0] for answer in answers} == {f"{lot.code} holds 6 g"}
    assert_balanced()
