"""The pages of the rack and the packing table: they answer, keep what was typed, and never fall over."""

import json
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.models import Order
from production.batches.models import Batch
from production.cure.models import BarMove, CureWeighing, Release
from production.cure.reads import read_rack
from tests.production.cure_builders import (
    CUT_DAY,
    READY_DAY,
    make_cut,
    make_design,
    make_order,
    make_ready,
    make_released,
    places,
    weigh_steady,
)


@pytest.fixture
def here(workshop):
    """Today where the workshop stands: pages know no other day."""
    return timezone.localdate(timezone=ZoneInfo(workshop.time_zone))


@pytest.fixture
def order(owner, here):
    return make_order(make_design(owner), 8, needed_by=here + timedelta(days=20), by=owner, parts={"seal": 3})


@pytest.fixture
def batch(order, owner, here):
    """Poured six weeks ago today."""
    return make_cut(order, by=owner, poured_on=here - timedelta(days=42), bars={"seal": 3, "plain": 8})


def url(name, batch, *more):
    return reverse(f"production:{name}", args=[batch.number, *more])


def lead(response):
    text = response.content.decode()
    start = text.index('<p class="lead">') + len('<p class="lead">')
    return " ".join(text[start : text.index("</p>", start)].split())


def test_an_empty_rack_says_so(owner_client):
    response = owner_client.get("/cure/")
    assert (response.status_code, lead(response)) == (200, "Nothing is curing.")


def test_the_rack_says_what_is_ready_and_for_whom(owner_client, owner, batch):
    make_ready(batch, by=owner)
    response = owner_client.get("/cure/")
    assert lead(response) == (
        f'11 bars have finished curing and wait for review: <span class="amount">{batch.number}</span> for Mara Velden.'
    )
    assert b"8 plain" in response.content
    assert b"3 Seal" in response.content


def test_the_rack_says_what_comes_next_when_nothing_is_ready(owner_client, batch, here):
    response = owner_client.get("/cure/")
    assert lead(response).startswith("No bars have finished curing today. Next are 11 of")
    assert b"No bar has been weighed yet." in response.content


@pytest.mark.parametrize(("show", "is_there"), (("ready", True), ("waiting", False), ("week", False), ("all", True)))
def test_the_rack_is_filtered(owner_client, owner, batch, show, is_there):
    make_ready(batch, by=owner)
    rows = owner_client.get("/cure/", {"show": show}).context["page"].object_list
    assert [row.batch.number for row in rows] == ([batch.number] if is_there else [])


def test_nonsense_in_the_address_shows_the_whole_rack(owner_client, batch):
    response = owner_client.get("/cure/", {"show": "<b>", "page": "no"})
    assert (response.status_code, len(response.context["page"].object_list)) == (200, 1)


def test_looking_never_writes(owner_client, owner, batch, here):
    for days, grams in ((0, "130"), (34, "117.0"), (41, "116.6")):
        on = batch.cut_on + timedelta(days=days)
        CureWeighing.objects.create(batch=batch, bar_mark="1", on=on, grams=Decimal(grams), by=owner)
    batch.checks.create(method="looks", verdict="clear", on=here, by=owner)
    owner_client.get("/cure/")
    owner_client.get(url("cure-batch", batch))
    assert Batch.objects.get(pk=batch.pk).status == "curing"
    response = owner_client.post("/cure/look/", follow=True)
    assert Batch.objects.get(pk=batch.pk).status == "ready_for_review"
    assert f"Ready for review: {batch.number}." in response.content.decode()


def test_what_an_order_needs_first_stands_first(owner, here):
    design = make_design(owner, usable_bars=12)
    later = make_order(design, 5, needed_by=here + timedelta(days=60), by=owner)
    sooner = make_order(design, 5, needed_by=here + timedelta(days=5), by=owner)
    first = make_cut(later, by=owner, poured_on=here - timedelta(days=40))
    second = make_cut(sooner, by=owner, poured_on=here - timedelta(days=20))
    rack = read_rack(today=here)
    assert [row.batch.number for row in rack.rows] == [second.number, first.number]
    assert [row.is_late for row in rack.rows] == [True, False]


def copies(batch, count):
    """The same batch so many times more, with its rows: for counting queries only."""
    rows = [*batch.bar_moves.all(), *batch.weighings.all(), *batch.serves.all(), *batch.cure_weighings.all()]
    have = Batch.objects.count()
    for number in range(have, have + count):
        copy = Batch.objects.get(pk=batch.pk)
        copy.pk, copy.number = None, f"B99-{number:03d}"
        copy.save()
        for row in rows:
            row.pk, row.batch = None, copy
            row.save()


def test_the_rack_takes_a_fixed_number_of_queries(owner_client, owner, batch):
    """1, 3 and 40 batches on the rack."""
    weigh_steady(batch, by=owner)
    queries = []
    for more in (0, 2, 37):
        copies(batch, more)
        with CaptureQueriesContext(connection) as captured:
            response = owner_client.get("/cure/")
        queries.append(len(captured))
    assert len(response.context["page"].object_list) == 40
    assert len(set(queries)) == 1
    assert queries[0] <= 12


def test_the_page_of_one_cure_shows_curve_ledger_and_reasons(owner_client, owner, batch):
    weigh_steady(batch, by=owner)
    response = owner_client.get(url("cure-batch", batch))
    text = response.content.decode()
    assert response.status_code == 200
    assert f"Weight of the marked bars of {batch.number}" in text
    assert "No check is entered." in text
    assert "12 accounted for" in text
    assert owner_client.get("/cure/B00-000/").status_code == 404


def weigh_form(day, **given):
    return {f"weigh-{name}": text for name, text in {"on": day.isoformat(), **given}.items()}


def test_weights_are_entered_for_several_bars(maker_client, batch):
    given = weigh_form(batch.cut_on, grams_0="130", grams_1="4.6 oz", new_mark="A", new_grams="131,5 g")
    response = maker_client.post(url("cure-weigh", batch), given)
    if response.status_code == 422:  # a decimal comma is for the quantity parser to allow or refuse
        given["weigh-new_grams"] = "131.5"
        response = maker_client.post(url("cure-weigh", batch), given)
    assert response.status_code == 302
    assert [(row.bar_mark, row.grams) for row in batch.cure_weighings.order_by("bar_mark")] == [
        ("1", Decimal(130)),
        ("2", Decimal("130.408")),  # 4.6 × 28.349523125 g (avoirdupois ounce, NIST Handbook 44 appendix C)
        ("A", Decimal("131.5")),
    ]


@pytest.mark.parametrize(
    "given",
    (
        {"grams_0": "heavy"},
        {"grams_0": "9" * 60},
        {"grams_0": "-5"},
        {"grams_0": "1e400"},
        {"grams_0": "NaN"},
        {"new_mark": "A"},
        {"new_grams": "130"},
        {},
        {"on": "yesterday", "grams_0": "130"},
        {"on": "0001-01-01", "grams_0": "130"},
        {"on": "9999-12-31", "grams_0": "130"},
    ),
    ids=str,
)
def test_nonsense_on_the_scale_is_refused_and_stays_in_the_box(maker_client, batch, given):
    response = maker_client.post(url("cure-weigh", batch), weigh_form(batch.cut_on, **given))
    assert response.status_code == 422
    for typed in given.values():
        assert typed in response.content.decode()
    assert CureWeighing.objects.count() == 0


@pytest.mark.parametrize("method", ("looks", "titration", "ph", "zap"))
def test_an_empty_test_form_never_falls_over(maker_client, batch, method):
    response = maker_client.post(url("cure-check", batch, method), {})
    assert response.status_code == 422
    assert batch.checks.count() == 0


def test_a_test_of_no_kind_is_not_found(maker_client, batch):
    assert maker_client.post(url("cure-check", batch, "weather"), {}).status_code == 404


def test_a_titration_is_entered_by_form(maker_client, batch, here):
    given = {"on": here.isoformat(), "acid_ml": "0,85", "acid_mol_per_l": "0.1", "soap_grams": "10", "note": ""}
    response = maker_client.post(
        url("cure-check", batch, "titration"), {f"titration-{name}": text for name, text in given.items()}
    )
    assert response.status_code == 302
    assert (batch.checks.get().figure, batch.checks.get().by.username) == (Decimal("0.034"), "maker")


@pytest.mark.parametrize("figure", ("much", "NaN", "1e9999", "-1", "9" * 19, ""))
def test_figures_that_are_none_are_refused(maker_client, batch, here, figure):
    given = {"on": here.isoformat(), "acid_ml": figure, "acid_mol_per_l": figure, "soap_grams": figure}
    response = maker_client.post(
        url("cure-check", batch, "titration"), {f"titration-{name}": text for name, text in given.items()}
    )
    assert response.status_code == 422
    assert batch.checks.count() == 0


def test_an_owner_releases_by_form_and_a_maker_sees_no_such_form(owner_client, maker_client, owner, batch, here):
    make_ready(batch, by=owner)
    assert b"Only an owner releases a batch." in maker_client.get(url("cure-batch", batch)).content
    given = {"release-words": "All clear.", "release-best_before": (here + timedelta(days=500)).isoformat()}
    assert maker_client.post(url("cure-release", batch), given).status_code == 422
    assert owner_client.post(url("cure-release", batch), {"release-words": ""}).status_code == 422
    assert owner_client.post(url("cure-release", batch), given).status_code == 302
    assert Release.objects.get().words == "All clear."
    again = owner_client.post(url("cure-release", batch), given)
    assert (again.status_code, Release.objects.count()) == (422, 1)


def test_the_other_decisions_by_form(owner_client, batch):
    for name in ("hold", "clear", "hold", "reject"):
        assert owner_client.post(url(f"cure-{name}", batch), {}).status_code == 422
        response = owner_client.post(url(f"cure-{name}", batch), {f"{name}-words": "spots on three bars"})
        assert response.status_code == 302, name
    assert Batch.objects.get(pk=batch.pk).status == "rejected"
    assert owner_client.get(url("cure-batch", batch)).status_code == 200


@pytest.mark.parametrize(
    ("changed", "status"),
    (
        ({}, 302),
        ({"which": "released|plain"}, 422),
        ({"which": "nonsense"}, 422),
        ({"bars": "9"}, 422),
        ({"bars": "many"}, 422),
        ({"to_state": "shipped"}, 422),
        ({"typed_once": "twice"}, 422),
    ),
)
def test_bars_are_taken_out_by_form(maker_client, batch, changed, status):
    given = {"which": "in_cure|plain", "bars": "2", "to_state": "retained", "note": "kept", "typed_once": str(uuid4())}
    response = maker_client.post(url("cure-bars", batch), {f"bars-{k}": v for k, v in (given | changed).items()})
    assert response.status_code == status
    assert places(batch)["plain"].get("retained", 0) == (2 if status == 302 else 0)


def test_the_packing_table_leads_from_step_to_step(maker_client, owner, order, batch):
    make_released(batch, by=owner)
    page = f"/packing/{order.number}/"
    steps = []
    for name in ("reserve", "pack", "hand-over"):
        steps.append(maker_client.get(page).context["page"].next_step)
        assert maker_client.post(f"{page}{name}/").status_code == 302
    assert steps == ["reserve", "pack", "hand_over"]
    assert Order.objects.get(pk=order.pk).status == "handed_over"
    assert lead(maker_client.get(page)) == "8 bars were handed over to Mara Velden."
    done = set(batch.steps.filter(done_on__isnull=False).values_list("key", flat=True))
    assert done >= {"pour", "cut", "release", "pack", "hand_over"}
    assert places(batch) == {
        "plain": {"shipped": 5, "released": 3, "spoiled": 1},
        "seal": {"shipped": 3},
    }


def test_a_refusal_at_the_packing_table_is_said(maker_client, order, batch):
    response = maker_client.post(f"/packing/{order.number}/reserve/", follow=True)
    assert "No released bars are free" in response.content.decode()
    assert BarMove.objects.filter(to_state="reserved").count() == 0
    assert maker_client.get("/packing/9999/").status_code == 404
    assert maker_client.post("/packing/9999/pack/").status_code == 404


def test_bars_are_given_back_by_form(maker_client, owner, order, batch):
    make_released(batch, by=owner)
    maker_client.post(f"/packing/{order.number}/reserve/")
    back = f"/packing/{order.number}/give-back/{order.lines.get().pk}/{batch.pk}/seal/"
    for nonsense in ({}, {"bars": "many", "reason": "x"}, {"bars": "99", "reason": "dent", "typed_once": uuid4()}):
        maker_client.post(back, nonsense)
        assert places(batch)["seal"] == {"reserved": 3}
    given = {"bars": "1", "reason": "dent", "typed_once": str(uuid4())}
    for _ in range(2):
        assert maker_client.post(back, given).status_code == 302
    assert places(batch)["seal"] == {"reserved": 2, "released": 1}


def test_the_order_page_shows_its_bars(owner_client, owner, order, batch):
    make_released(batch, by=owner)
    owner_client.post(f"/packing/{order.number}/reserve/", {"back": "order"})
    text = owner_client.get(f"/orders/{order.number}/making/").content.decode()
    assert "Bars for this order" in text
    assert "All 8 bars are packed" in text


def test_cure_status_prints_figures(owner, order, batch, here, capsys):
    weigh_steady(batch, by=owner)
    call_command("cure_status", "--json")
    told = json.loads(capsys.readouterr().out)
    (found,) = told["batches"]
    assert told["ready_bars"] == 0
    assert {
        key: found[key] for key in ("batch", "bars", "day_of_cure", "days_to_go", "is_ready", "week_loss_percent")
    } == {
        "batch": batch.number,
        "bars": 11,
        "day_of_cure": 42,
        "days_to_go": 0,
        "is_ready": False,
        "week_loss_percent": 0.34,  # 0.4 / 117.0, worked by hand
    }
    assert found["bars_by_finish"]["plain"]["made"] == 9
    assert [reason["code"] for reason in found["why"]] == ["no_check"]
    assert found["for"] == [
        {"order": order.number, "customer": "Mara Velden", "bars": 8, "needed_by": order.needed_by.isoformat()}
    ]


def test_cure_status_notes_what_is_ready_only_when_asked(owner, batch, here, capsys):
    for days, grams in ((0, "130"), (34, "117.0"), (41, "116.6")):
        on = batch.cut_on + timedelta(days=days)
        CureWeighing.objects.create(batch=batch, bar_mark="1", on=on, grams=Decimal(grams), by=owner)
    batch.checks.create(method="looks", verdict="clear", on=here, by=owner)
    call_command("cure_status")
    assert Batch.objects.get(pk=batch.pk).status == "curing"
    call_command("cure_status", "--update")
    assert Batch.objects.get(pk=batch.pk).status == "ready_for_review"
    assert capsys.readouterr().out.startswith("11 bars have finished curing and wait for review.")


def test_days_of_the_builders_fit_together():
    assert (date(2026, 3, 3), date(2026, 4, 13)) == (CUT_DAY, READY_DAY)  # 42 days over March, worked by hand
