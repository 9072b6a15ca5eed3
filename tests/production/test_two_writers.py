"""Several processes at once on one database, SQLite in a file or PostgreSQL: nothing is given out twice or lost."""

import json
import os
import sqlite3
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.db import connection

from formulas.models import Material
from orders.order_states import OrderState
from production.stock.actions import receive_lot
from soapshop.models import User, Workshop
from tests.conftest import PASSWORD, TODAY
from tests.orders.money_builders import build_order

WRITERS = 4
pytestmark = pytest.mark.django_db(transaction=True)


class Writers:
    """Processes that take their jobs at the same moment; each is started once for all tests here."""

    def __init__(self, url: str, file: Path | None) -> None:
        self.file = file
        variables = {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "soapshop.settings"}
        line = [sys.executable, "-m", "tests.production.writers"]
        self.processes = [
            subprocess.Popen(
                line,
                cwd=settings.BASE_DIR,
                env=variables,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
            )
            for _ in range(WRITERS)
        ]
        assert [self._answer(process) for process in self.processes] == [{"ready": True}] * WRITERS

    def share_rows(self) -> None:
        """Let the writers see what this test has written: tests on SQLite keep their rows in memory."""
        if self.file is None:
            return
        connection.ensure_connection()
        target = sqlite3.connect(self.file)
        connection.connection.backup(target)
        target.close()

    def all_at_once(self, *jobs: dict) -> list[dict]:
        """Give each process its job, then wait for all; with one job only, all do the same."""
        given = jobs if len(jobs) > 1 else jobs * WRITERS
        busy = self.processes[: len(given)]
        for process, job in zip(busy, given, strict=True):
            process.stdin.write(json.dumps(job) + "\n")
        for process in busy:
            process.stdin.flush()
        return [self._answer(process) for process in busy]

    def one(self, job: dict) -> dict:
        return self.all_at_once(job, {"do": "look_at_lot", "lot": job["lot"]})[0]

    def close(self) -> None:
        for process in self.processes:
            process.stdin.close()
            process.wait(timeout=20)
            process.stdout.close()

    @staticmethod
    def _answer(process: subprocess.Popen) -> dict:
        answer = json.loads(process.stdout.readline())
        assert "broke" not in answer, answer["broke"]
        return answer


@pytest.fixture(scope="module")
def processes(django_db_setup, tmp_path_factory):
    if connection.vendor == "postgresql":
        name = connection.settings_dict["NAME"]
        url, file = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl(), None
    else:
        file = tmp_path_factory.mktemp("shared") / "shop.sqlite3"
        url = f"sqlite:///{file}"
    writers = Writers(url, file)
    yield writers
    writers.close()


@pytest.fixture
def owner(db):
    Workshop.current()
    return User.objects.create_user("owner", password=PASSWORD, first_name="Ines", role=User.Role.OWNER)


def test_a_lot_gives_out_exactly_what_it_holds(processes, owner):
    olive = Material.objects.create(name="Olive oil", kind=Material.Kind.FAT)
    lot = receive_lot(material=olive, received_on=TODAY, grams=Decimal(400), by=owner)
    processes.share_rows()
    answers = processes.all_at_once({"do": "draw", "lot": lot.pk, "grams": "7", "by": owner.pk})
    # 57 times 7 g are 399 g; the last gram is too little for anybody.
    assert sum(answer["drawn"] for answer in answers) == 57
    assert {answer["refusal"] for answer in answers} == {
        f"{lot.code} holds 1 g, but 7 g are needed. Choose another lot, or weigh the tub back and correct its count."
    }
    left = processes.one({"do": "look_at_lot", "lot": lot.pk})
    assert (Decimal(left["grams_left"]), Decimal(left["moves"]), left["status"]) == (1, 1, "released")


def test_numbers_have_no_doubles_and_no_gaps(processes, owner):
    processes.share_rows()
    answers = processes.all_at_once({"do": "number", "series": "order", "times": 12})
    assert [len(answer["kept"]) for answer in answers] == [9] * WRITERS
    assert sorted(number for answer in answers for number in answer["kept"]) == list(range(1001, 1001 + 9 * WRITERS))


def test_of_several_first_owners_one_opens_the_shop(processes):
    Workshop.objects.all().delete()
    processes.share_rows()
    answers = processes.all_at_once(*({"do": "open_shop", "username": f"owner-{n}"} for n in range(WRITERS)))
    assert sorted(answer["made"] for answer in answers) == [False] * (WRITERS - 1) + [True]
    assert [answer["accounts"] for answer in answers if answer["made"]] == [1]


def test_two_owners_who_close_each_others_accounts_leave_one_of_them(processes, owner):
    other = User.objects.create_user("other", password=PASSWORD, first_name="Odo", role=User.Role.OWNER)
    processes.share_rows()
    answers = processes.all_at_once(
        {"do": "close", "person": other.pk, "by": owner.pk}, {"do": "close", "person": owner.pk, "by": other.pk}
    )
    assert sorted(answer["closed"] for answer in answers) == [False, True]


def test_a_payment_sent_twice_counts_once_and_the_balance_is_paid_once(processes, owner):
    order = build_order(by=owner, stage=OrderState.ACCEPTED)
    processes.share_rows()
    job = {"do": "pay", "order": order.pk, "by": owner.pk}
    twice = processes.all_at_once(job | {"amount": "142.20", "once": "0b0c4a52-7f0e-4a2b-9f0e-6a1f5b1c2d3e"})
    assert len({answer["payment"] for answer in twice}) == 1
    rest = processes.all_at_once(job | {"amount": "142.20"})
    assert len([answer for answer in rest if answer["payment"]]) == 1
    assert {answer["refusal"] for answer in rest if not answer["payment"]} == {
        "Only $0.00 is still to be paid. Type no more than that, or add a line to the order."
    }


def test_invoices_are_numbered_without_gaps_and_a_credit_note_sent_twice_is_one(processes, owner):
    orders = [build_order(by=owner, stage=OrderState.ACCEPTED) for _ in range(WRITERS)]
    processes.share_rows()
    answers = processes.all_at_once(
        *({"do": "issue", "order": order.pk, "kind": "invoice", "by": owner.pk} for order in orders)
    )
    assert sorted(answer["number"] for answer in answers) == [f"I-{number:04d}" for number in range(1, 1 + WRITERS)]
    twice = processes.all_at_once(
        {
            "do": "issue",
            "order": orders[0].pk,
            "kind": "credit_note",
            "by": owner.pk,
            "amount": "15.80",
            "once": "1b0c4a52-7f0e-4a2b-9f0e-6a1f5b1c2d3e",
        }
    )
    assert {answer["number"] for answer in twice} == {"N-0001"}
