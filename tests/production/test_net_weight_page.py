"""The net weight page: bars weighed one by one, short ones made seconds, the label stopped; the same as figures."""

import json
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from production.cure.actions.reserving import allocate_bars
from production.labels.lot_actions import LotRefused, set_short_bars_aside, weigh_lot
from production.labels.models import LotWeighing
from production.labels.reads import batch_for_labels, plain_ask
from production.labels.sheets import prepare_label
from tests.production.cure_builders import make_cut, make_design, make_order, make_released, places

# Eleven bars: mean 117.0 g; one of 113 g. 4 oz are 113.4 g (worked by hand).
WEIGHTS = ("117", "117", "118", "113", "117", "118", "117", "117", "118", "118", "117")


@pytest.fixture
def today(workshop):
    return timezone.localdate()


@pytest.fixture
def order(owner, today):
    return make_order(make_design(owner), 10, needed_by=today + timedelta(days=9), by=owner)


@pytest.fixture
def batch(order, owner, today):
    return make_released(make_cut(order, by=owner, poured_on=today - timedelta(days=42)), by=owner)


def weigh(batch, by, today, weights=WEIGHTS, **more):
    return weigh_lot(
        batch_id=batch.pk,
        finish="plain",
        shown_grams=tuple(map(Decimal, weights)),
        on=today,
        today=today,
        by=by,
        **more,
    )


def test_the_page_keeps_the_weights_and_shows_both_tests(owner_client, batch, today):
    address = reverse("production:net-weight", args=[batch.number])
    typed = {"on": today.isoformat(), "tare": "1", "weights": " ".join(f"{int(w) + 1}" for w in WEIGHTS)}
    form = typed | {"typed_once": str(uuid4())}
    assert owner_client.post(address, form).status_code == 302
    assert owner_client.post(address, form).status_code == 302
    row = LotWeighing.objects.get()
    assert [grams for _, grams in row.bars_grams] == [Decimal(w) for w in WEIGHTS]
    page = owner_client.get(address, {"figure": "4 oz"}).content.decode()
    assert "1 of 11 weighed bars will not hold “Net Wt 4 oz (113 g)”." in page
    assert "United States: NIST Handbook 133" in page
    assert "European Union: Directive 76/211/EEC" in page
    assert "Set 1 aside as seconds" in page


def test_what_was_typed_stays_when_it_is_refused(owner_client, batch, today):
    address = reverse("production:net-weight", args=[batch.number])
    typed = {"on": today.isoformat(), "weights": "117 118", "typed_once": str(uuid4())}
    response = owner_client.post(address, typed)
    assert response.status_code == 422
    assert "The plan for 11 bars asks for 11; 2 were typed. Weigh the others too." in response.content.decode()
    assert "117 118" in response.content.decode()
    assert not LotWeighing.objects.exists()


def test_c38_short_bars_become_seconds_and_the_order_shows_what_it_lacks(owner, batch, order, today):
    """Ten of eleven bars are reserved. Two short ones: the free one and one of the order (case C38)."""
    allocate_bars(order_id=order.pk, today=today, by=owner)
    row = weigh(batch, owner, today)
    set_short_bars_aside(weighing_id=row.pk, numbers=[4, 1], by=owner)
    assert places(batch)["plain"] == {"reserved": 9, "second": 2, "spoiled": 1}
    assert LotWeighing.objects.get().set_aside == [1, 4]
    order.refresh_from_db()
    assert order.is_at_risk
    with pytest.raises(LotRefused, match="set aside already"):
        set_short_bars_aside(weighing_id=row.pk, numbers=[4], by=owner)


def test_a_label_that_the_lot_cannot_hold_is_stopped(owner, batch, workshop, today):
    row = weigh(batch, owner, today)

    def stops(figure):
        asked = replace(plain_ask("plain", workshop=workshop), net_weight=figure)
        found = prepare_label(batch_for_labels().get(pk=batch.pk), asked, workshop=workshop, on=today)
        return [problem.code for problem in found.stops if problem.code.startswith("lot_")]

    assert stops("") == []
    assert stops("4.2 oz") == ["lot_does_not_hold"]  # 119.07 g, more than the mean of 117.0 g
    set_short_bars_aside(weighing_id=row.pk, numbers=[4], by=owner)
    assert stops("4 oz") == []


@pytest.mark.parametrize(
    ("weights", "tare", "refusal"),
    (
        (("117",) * 12, "0", "12 weights were typed, but 11 bars of this finish are to be sold."),
        (("117",) * 10 + ("11.7",), "0", "Bar 11 with 11.7 g is far from the others."),
        (("117",) * 10 + ("1",), "1", "Bar 11 weighs no more than its wrapper."),
    ),
)
def test_what_cannot_be_is_refused(owner, batch, today, weights, tare, refusal):
    with pytest.raises(LotRefused, match=refusal):
        weigh(batch, owner, today, weights, tare_grams=Decimal(tare))


def test_the_command_says_the_same(owner, batch, today, capsys):
    weigh(batch, owner, today)
    call_command("net_weight", batch.number, "--json")
    figures = json.loads(capsys.readouterr().out)["finishes"][0]
    assert (figures["weighed"], figures["mean_grams"], figures["short_bars"]) == (11, "117.000", [])
    assert [test["outcome"] for test in figures["tests"]] == ["pass", "pass"]
    with pytest.raises(CommandError, match="does not hold until"):
        call_command("net_weight", batch.number, "--figure", "5 oz")
