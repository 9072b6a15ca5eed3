"""A design is tried in a small batch of its own and approved from it: who, when, what it taught."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.after_pour import cut_batch, hold_batch
from production.batches.actions.bench import pour_batch, start_batch
from production.batches.models import Batch
from production.batches.records import plan_of
from production.cure.actions.review import release_batch
from production.cure.refusal import CureRefusal
from production.test_pours.actions import approve_test_pour, plan_test_pour, turn_down_test_pour
from production.test_pours.models import TestPour
from production.test_pours.reads import untried
from production.test_pours.rules import TestPourRefused, TriedBatch, check_approval, untried_words
from soapshop.models import AuditEvent
from tests.formulas.test_formula_views import text_of
from tests.production.builders import TODAY, make_design, make_mold, make_order, make_part, stock_lots, weigh

DAY = timedelta(days=1)


def pour_of(design, by, **wish) -> TestPour:
    asked = {"mold_id": design.mold_id, "bars": 3, "pour_on": TODAY, "tries": "does the scent thicken it?"} | wish
    return plan_test_pour(design_id=design.pk, today=TODAY, by=by, **asked)


def poured(pour: TestPour, by) -> Batch:
    batch = start_batch(batch_id=pour.batch_id, by=by)
    lots = stock_lots(by, batch)
    for line in batch.weighings.all():
        weigh(line, lots, by)
    return pour_batch(batch_id=batch.pk, on=TODAY, by=by)


def cut(pour: TestPour, by) -> Batch:
    batch = poured(pour, by)
    return cut_batch(batch_id=batch.pk, on=TODAY + DAY, bars_by_finish={"plain": 3}, spoiled=0, by=by)


@pytest.fixture
def design(owner, workshop):
    return make_design(owner)


def refused(act) -> str:
    with pytest.raises(TestPourRefused) as caught:
        act()
    return str(caught.value)


class TestPlan:
    def test_it_is_a_small_batch_of_its_own(self, design, owner):
        batch = pour_of(design, owner).batch
        plan = plan_of(batch)
        full = plan_of(pour_of(design, owner, bars=12).batch)
        # Worked by hand: 3 of 12 bars are a quarter; each dose is rounded to the scale, so within a gram or two.
        assert abs(plan.oils_grams * 4 - full.oils_grams) < 4
        assert (batch.planned_bars, plan.bars, [f.bars for f in plan.finishes]) == (3, 3, [3])
        assert not batch.serves.exists()
        steps = {step.key: step.due_on for step in batch.steps.all()}
        assert {"label", "pack", "hand_over"}.isdisjoint(steps)
        # Common practice: what a scent does to light soap shows after three weeks; June 2, 2026 is a Tuesday.
        assert steps["judge_test"] == date(2026, 6, 2)

    def test_its_ticket_says_what_it_is_for(self, design, owner, workshop):
        from tests.production.test_worked_design import ticket_of

        pour = pour_of(design, owner)
        paper = ticket_of(Batch.objects.for_page().get(pk=pour.batch_id), workshop)
        assert (paper.made_for, paper.bar_count) == ("test pour: does the scent thicken it?", 3)

    def test_the_same_form_sent_twice_gives_one_batch(self, design, owner):
        once = uuid4()
        assert pour_of(design, owner, typed_once=once) == pour_of(design, owner, typed_once=once)
        assert Batch.objects.count() == 1

    @pytest.mark.parametrize(
        ("wish", "sentence"),
        (
            ({"bars": 13}, "Loaf for Moor gives 12 bars. Try from 1 to 12 of them, or a larger mold."),
            ({"bars": 0}, "Loaf for Moor gives 12 bars. Try from 1 to 12 of them, or a larger mold."),
            ({"tries": " "}, "Say in a few words what this pour is to show, such as: does the scent thicken it?"),
            ({"pour_on": TODAY - DAY}, "May 11, 2026 has passed. Pour today or later."),
            ({"pour_on": TODAY + 400 * DAY}, "That pour lies more than a year ahead. Check the year."),
        ),
    )
    def test_what_cannot_be_poured_is_refused(self, design, owner, wish, sentence):
        assert refused(lambda: pour_of(design, owner, **wish)) == sentence
        assert not Batch.objects.exists()

    def test_a_jug_too_small_to_pour_and_parts_on_too_many_bars(self, design, owner):
        """Worked by hand: a bar of some 140 g, a fiftieth of it in the second layer: under 20 g."""
        thin = make_design(owner, "Thin line", heights=("49", "1"))
        words = refused(lambda: pour_of(thin, owner, bars=1))
        assert words.endswith("less than 20 g does not pour. Draw it larger, or make a bigger batch.")
        seal = make_part("seal", "seal")
        words = refused(lambda: pour_of(design, owner, part_bars={seal.pk: 4}))
        assert words == "Seal is asked for on 4 bars, but there are only 3. Ask for 3 at most, or pour more bars."
        assert pour_of(design, owner, part_bars={seal.pk: 3}).batch.frozen["finishes"][0]["key"] == "seal"


class TestJudge:
    def test_it_is_approved_into_the_design(self, design, owner, maker):
        pour = pour_of(design, owner)
        batch = cut(pour, owner)
        approve_test_pour(test_pour_id=pour.pk, learned="Slow to trace; the sea layer holds.", on=TODAY + DAY, by=maker)
        design.refresh_from_db()
        assert (design.approved_from, design.approved_on, design.approved_by) == (batch.number, TODAY + DAY, maker)
        assert design.learned == "Slow to trace; the sea layer holds."
        assert not design.has_changed_since
        assert batch.steps.get(key="judge_test").done_on == TODAY + DAY
        assert AuditEvent.objects.filter(verb="approve_design").count() == 1

    def test_turned_down_it_leaves_the_design_as_it_was(self, design, owner):
        pour = pour_of(design, owner)
        cut(pour, owner)
        turn_down_test_pour(test_pour_id=pour.pk, learned="The scent seizes it.", on=TODAY + DAY, by=owner)
        design.refresh_from_db()
        assert not design.is_approved
        words = refused(lambda: approve_test_pour(test_pour_id=pour.pk, learned="Fine", on=TODAY + DAY, by=owner))
        assert words.endswith("is judged already: not like this. Pour a new test to change that.")

    def test_only_what_was_poured_and_cut(self, design, owner):
        pour = pour_of(design, owner)

        def approve():
            return approve_test_pour(test_pour_id=pour.pk, learned="All as drawn", on=TODAY + DAY, by=owner)

        assert refused(approve).endswith("is not poured yet. Pour it, cut it, then judge it.")
        batch = poured(pour, owner)
        assert refused(approve).endswith("is not cut yet. Cut it and look at the face, then judge it.")
        cut_batch(batch_id=batch.pk, on=TODAY + DAY, bars_by_finish={"plain": 3}, spoiled=0, by=owner)
        hold_batch(batch_id=batch.pk, reason="Soft in the middle", by=owner)
        assert "is on hold, so its design cannot be approved from it." in refused(approve)

    def test_a_drawing_changed_since_wants_a_word(self, design, owner):
        pour = pour_of(design, owner)
        cut(pour, owner)
        design.saves += 1
        design.save(update_fields=["saves"])

        def approve(words: str = "") -> TestPour:
            return approve_test_pour(
                test_pour_id=pour.pk, learned="Holds well", changed_since=words, on=TODAY + DAY, by=owner
            )

        assert refused(approve).startswith("Moor was changed after this test was planned.")
        approve("Sea layer a little higher; same jugs.")
        design.refresh_from_db()
        assert design.learned == "Holds well Changed since: Sea layer a little higher; same jugs."

    def test_its_bars_are_for_sale_only_once_it_is_approved(self, design, owner):
        pour = pour_of(design, owner)
        cut(pour, owner)
        with pytest.raises(CureRefusal, match="is a test pour that its design is not approved from"):
            release_batch(batch_id=pour.batch_id, words="All fine.", today=TODAY + 50 * DAY, by=owner)
        approve_test_pour(test_pour_id=pour.pk, learned="All as drawn", on=TODAY + DAY, by=owner)
        with pytest.raises(CureRefusal, match="No check is entered"):
            release_batch(batch_id=pour.batch_id, words="All fine.", today=TODAY + 50 * DAY, by=owner)


class TestRules:
    def test_words_are_wanted_and_a_day_after_the_cut(self):
        tried = TriedBatch("B26-001", "Moor", TODAY, TODAY + DAY, good_bars=3)
        check_approval(tried, learned="Holds", changed_since="", on=TODAY + DAY)
        for change, sentence in (
            ({"learned": "  "}, "Say in a sentence what it taught, also when all went as drawn."),
            ({"on": TODAY}, "The day of the judgment lies before the cut. Check the day."),
        ):
            asked = {"learned": "Holds", "changed_since": "", "on": TODAY + DAY} | change
            assert refused(lambda asked=asked: check_approval(tried, **asked)) == sentence
        none = TriedBatch("B26-001", "Moor", TODAY, TODAY + DAY, good_bars=0)
        words = refused(lambda: check_approval(none, learned="Holds", changed_since="", on=TODAY + DAY))
        assert words == "B26-001 gave no good bar. Turn it down, and pour a new test."

    def test_a_new_scent_is_tried_three_weeks_and_a_day_before(self):
        """case-C53: at least a day for speed and three weeks for color, or the risk is told in the quote."""
        words = untried_words(["Fern", "Moss"], design="Moor", is_drawn_new=False, pour_on=date(2026, 6, 30))
        assert words == (
            "Fern and Moss were never poured here. Pour a test by Jun 8, 2026 (three weeks show speed and color), "
            "or tell the customer about the risk in the quote."
        )
        assert untried_words([], design="Moor", is_drawn_new=False, pour_on=date(2026, 6, 30)) == ""


def test_what_was_poured_before_needs_no_test(design, owner):
    from formulas.models import FormulaRevision

    revision = FormulaRevision.objects.get()
    known = {design.formula_id: revision}
    assert untried([design], known)[design.pk].startswith("Fern fragrance was never poured here, nor was Moor.")
    cut(pour_of(design, owner), owner)
    assert untried([design], known) == {}


class TestPages:
    def test_from_the_design_to_its_approval(self, owner_client: Client, owner, design, today):
        new = reverse("production:test-pour-new", args=[design.pk])
        page = owner_client.get(design.get_absolute_url())
        assert new in page.content.decode()
        assert "Not tried here yet" in text_of(page)
        answer = owner_client.post(new, {"bars": "many", "pour_on": "", "tries": ""})
        assert answer.status_code == 422
        for sentence in ("Type a whole number of bars, such as 3.", "On which day?", "Which mold is it poured in?"):
            assert sentence in text_of(answer)
        typed = {"mold": design.mold_id, "bars": "40", "pour_on": "2090-05-12", "tries": "thickening"}
        answer = owner_client.post(new, typed)
        assert "Loaf for Moor gives 12 bars." in text_of(answer)
        assert 'value="40"' in answer.content.decode()

    def test_judged_on_its_page(self, owner_client: Client, owner, design, today):
        pour = pour_of(design, owner)
        answer = owner_client.post(pour.get_absolute_url(), {"approve": "1", "learned": "Holds well"})
        assert answer.status_code == 422
        assert "is not poured yet." in text_of(answer)
        cut(pour, owner)
        owner_client.post(pour.get_absolute_url(), {"approve": "1", "learned": "Holds well, slow."})
        shown = text_of(owner_client.get(design.get_absolute_url()))
        assert "Holds well, slow." in shown
        assert "Approved into the design" in shown
        assert "From a test pour" in shown

    def test_more_test_pours_need_no_more_queries(self, owner_client, owner, design, today):
        counts = []
        owner_client.get(design.get_absolute_url())
        for bars in (1, 2):
            pour_of(design, owner, mold_id=make_mold(f"Small of {bars}").pk)
            with CaptureQueriesContext(connection) as queries:
                owner_client.get(design.get_absolute_url())
            counts.append(len(queries))
        assert counts[0] == counts[1]


def test_case_c53_the_order_says_by_when_a_new_scent_is_tried(owner_client: Client, owner, design, today):
    """Three weeks and a day before the pour, or the risk is told in the quote; once it was poured nothing is asked."""
    order = make_order(owner, design, 10)
    plan = reverse("production:order-plan", args=[order.number])
    page = owner_client.get(plan)
    assert "Fern fragrance was never poured here, nor was Moor. Pour a test by" in text_of(page)
    assert reverse("production:test-pour-new", args=[design.pk]) in page.content.decode()
    making = reverse("orders:order-making", args=[order.number])
    assert "Fern fragrance was never poured here" in text_of(owner_client.get(making))
    cut(pour_of(design, owner), owner)
    assert "never poured here" not in text_of(owner_client.get(plan))
