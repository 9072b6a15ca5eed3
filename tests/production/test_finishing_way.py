"""Finishes on their way: counted on the order, on the ticket, at the cut, on the bars page, on labels and slip."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from formulas.models import DesignPart, Part
from production.bar_ledger import BarState
from production.batches.actions.after_pour import cut_batch
from production.batches.asked import BatchRefusal
from production.batches.forms import CutForm
from production.batches.models import Batch
from production.batches.records import plan_of
from production.batches.ticket_steps import process_steps
from production.cure.actions.finishing import change_finish
from production.cure.actions.packing import pack_order
from production.cure.actions.reserving import allocate_bars
from production.cure.models import BarMove, Parcel
from production.cure.slips import slip_of
from production.labels.bars import bars_by_finish
from production.stock.actions import make_part_lot
from production.stock.models import PartLot
from production.stock.needs import part_needs
from tests.formulas.test_formula_views import text_of
from tests.production.builders import TODAY, poured_batch
from tests.production.cure_builders import CUT_DAY, make_cut, make_released, places
from tests.production.cure_builders import make_design as make_plain_design
from tests.production.cure_builders import make_order as make_plain_order

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def date_stamp(design) -> Part:
    stamp = Part.objects.create(name="Date stamp", key="date-stamp", kind="stamp", unit_grams=Decimal("0.05"))
    DesignPart.objects.create(design=design, part=stamp)
    return stamp


def shells(by, **facts) -> PartLot:
    asked = {"part": Part.objects.get(key="shell"), "pieces": 20, "made_on": CUT_DAY - 9 * DAY, "use_by": None}
    return make_part_lot(**(asked | facts), by=by)


class TestStamps:
    """case-C56: a stamp on some bars is counted like any other finish, and nobody makes pieces of it."""

    def test_it_needs_no_pieces_and_no_lot(self, owner, workshop):
        design = make_plain_design(owner)
        date_stamp(design)
        order = make_plain_order(design, 8, needed_by=CUT_DAY + 80 * DAY, by=owner, parts={"seal": 8, "date-stamp": 3})
        batch = make_cut(order, by=owner, bars={"date-stamp+seal": 3, "seal": 5, "plain": 3})
        plan = plan_of(batch)
        assert {part.name: (part.pieces, part.spares) for part in plan.parts}["Date stamp"] == (3, 0)
        steps = [step.text for step in process_steps(plan, ())]
        assert "Unmold and cut. 12 bars planned: 3 Date stamp + Seal, 5 Seal, 4 Plain." in steps
        assert "Stamp once a nail leaves a mark and a finger none: Date stamp on 3 bars." in steps
        assert [name for name in CutForm(plan=plan, today=CUT_DAY).fields if name.startswith("part_")] == ["part_seal"]
        assert bars_by_finish(batch, plan) == {"date-stamp+seal": 3, "seal": 5, "plain": 3}

    def test_what_waits_for_a_stamp_wants_no_stock(self, owner, workshop):
        from production.batches.actions.planning import plan_batches

        design = make_plain_design(owner)
        date_stamp(design)
        order = make_plain_order(design, 8, needed_by=CUT_DAY + 80 * DAY, by=owner, parts={"seal": 8, "date-stamp": 3})
        plan_batches(order_id=order.pk, today=CUT_DAY, by=owner)
        assert {need.part for need in part_needs()} == {"Seal"}

    def test_cut_bars_are_stamped_later(self, owner, workshop):
        design = make_plain_design(owner)
        date_stamp(design)
        order = make_plain_order(design, 8, needed_by=CUT_DAY + 80 * DAY, by=owner)
        batch = make_cut(order, by=owner)
        change_finish(
            batch_id=batch.pk, finish="plain", from_state=BarState.IN_CURE, to_finish="date-stamp", bars=4,
            on=CUT_DAY + 3 * DAY, by=owner,
        )  # fmt: skip
        assert places(batch)["date-stamp"] == {"in_cure": 4}
        assert BarMove.objects.filter(note="plain → Date stamp").exists()


class TestAtTheCut:
    @pytest.fixture
    def batch(self, owner, workshop) -> Batch:
        return poured_batch(owner, bars=10, parts={"seal": 10, "shell": 4})

    def cut(self, batch, by, **lots):
        return cut_batch(
            batch_id=batch.pk,
            on=TODAY + DAY,
            bars_by_finish={"seal+shell": 4, "seal": 6, "plain": 2},
            spoiled=0,
            part_lots={key: lot.pk for key, lot in lots.items()},
            by=by,
        )

    def test_a_part_past_its_use_by_is_refused(self, batch, owner):
        seals = shells(owner, part=Part.objects.get(key="seal"), made_on=TODAY - 90 * DAY, use_by=TODAY)
        with pytest.raises(BatchRefusal, match=r"P26-001 was to be used by May 12\. Make fresh pieces\."):
            self.cut(batch, owner, seal=seals)
        PartLot.objects.update(use_by=TODAY + DAY)
        self.cut(batch, owner, seal=seals)
        assert PartLot.objects.get().pieces_left == 10

    def test_what_was_set_in_at_the_pour_is_judged_by_that_day(self, batch, owner):
        """Toppers went on at the pour on May 12, so a use-by of that day holds at the cut the day after."""
        toppers = shells(owner, made_on=TODAY - 30 * DAY, use_by=TODAY)
        self.cut(batch, owner, shell=toppers)
        assert PartLot.objects.get().pieces_left == 16

    def test_the_page_offers_an_old_lot_and_says_why_not(self, owner_client: Client, owner, batch):
        today = timezone.localdate()
        old = shells(owner, part=Part.objects.get(key="seal"), made_on=today - 90 * DAY, use_by=today - DAY)
        page = owner_client.get(batch.get_absolute_url())
        assert "was to be used by" in page.content.decode()
        typed = {
            "on": f"{today:%Y-%m-%d}", "finish_seal+shell": "4", "finish_seal": "6", "part_seal": str(old.pk),
        }  # fmt: skip
        answer = owner_client.post(reverse("production:batch-cut", args=[batch.number]), typed)
        assert "P26-001 was to be used by" in text_of(answer) or "was to be used by" in answer.content.decode()
        assert Batch.objects.get(pk=batch.pk).cut_on is None


class TestBarsPage:
    def test_a_window_that_has_passed_is_named_and_refused(self, owner_client: Client, owner, workshop):
        """Cut on March 3; a seal holds for two days after the cut (common practice, no source)."""
        design = make_plain_design(owner)
        Part.objects.filter(key="seal").update(attach_window_days=2)
        batch = make_cut(make_plain_order(design, 8, needed_by=CUT_DAY + 80 * DAY, by=owner), by=owner)
        lot = shells(owner, part=Part.objects.get(key="seal"))
        page = text_of(owner_client.get(reverse("production:cure-bars", args=[batch.number])))
        assert "Seal had to go on by Mar 5, 2026; it no longer holds on these bars." in page
        typed = {"finish-which": "in_cure|plain", "finish-bars": "3", "finish-lot": str(lot.pk)}
        typed["finish-typed_once"] = "0b0a57ab-2f6f-4b8c-9d6e-2f6f4b8c9d6e"
        answer = owner_client.post(reverse("production:cure-finish", args=[batch.number]), typed)
        assert answer.status_code == 422
        assert "Seal had to go on by Mar 5, 2026, while both faces were fresh." in text_of(answer)
        typed["finish-bars"] = "40"
        answer = owner_client.post(reverse("production:cure-finish", args=[batch.number]), typed)
        assert "11 of these bars are there. Enter from 1 to 11." in text_of(answer)


def test_the_slip_names_finish_work_and_packing(owner, workshop):
    """case-C57: a fragile topper is packed in a box of its own."""
    design = make_plain_design(owner)
    design.is_beveled = True
    design.save(update_fields=["is_beveled"])
    Part.objects.filter(key="shell").update(packing="a box of its own", forbids_wrap=True)
    order = make_plain_order(design, 8, needed_by=CUT_DAY + 80 * DAY, by=owner, parts={"shell": 3})
    make_released(make_cut(order, by=owner, bars={"shell": 3, "plain": 8}), by=owner)
    allocate_bars(order_id=order.pk, today=CUT_DAY + 45 * DAY, by=owner)
    pack_order(order_id=order.pk, by=owner, on=CUT_DAY + 46 * DAY)
    lines = {line.finish: (line.bars, line.packaging) for line in slip_of(Parcel.objects.get()).lines}
    assert lines == {
        "plain, edges beveled": (5, ""),
        "Shell, edges beveled": (3, "Shell: a box of its own; Shell: no film"),
    }
