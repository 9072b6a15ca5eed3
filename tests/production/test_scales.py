"""Scales on a list: the daily check, what a failed one puts in doubt, which scale a dose goes on."""

from datetime import timedelta
from decimal import Decimal

import pytest

from formulas.weighing import DoseTooSmall, Scale, ScaleOverloaded
from production.batches.asked import BatchRefusal
from production.batches.weigh_out import WeighRules
from production.scales.actions import check_scale, retire_scale, save_scale, waive_check
from production.scales.choice import check_load, smallest_on_any, usual_scale
from production.scales.models import Scale as ScaleRow
from production.scales.models import ScaleCheck
from production.scales.reads import checks_in_words, weighed_since_good
from production.scales.taking import ScaleRefusal
from tests.production.builders import TODAY, planned_batch, started_batch, weigh

D = Decimal
KITCHEN, BENCH, POCKET = (
    Scale("Kitchen scale", D(1), D(5000)),
    Scale("Bench scale", D("0.1"), D(2000)),
    Scale("Pocket scale", D("0.01"), D(200)),
)
ALL = (KITCHEN, BENCH, POCKET)


@pytest.mark.parametrize(
    ("grams", "step", "tolerance", "taken"),
    (
        pytest.param("700", "1", "0.01", KITCHEN, id="oils on the coarse one"),
        pytest.param("147.4", "0.1", "0.005", BENCH, id="lye by its step"),
        pytest.param("12", "0.1", "0.02", BENCH, id="scent, 4.1 g or more"),
        pytest.param("2", "0.1", "0.02", POCKET, id="W1 2 g at 2 % need 0.41 g on 0.01 g steps"),
        pytest.param("0.3", "0.01", "0.02", None, id="W1 0.3 g is less than 0.41 g"),
        pytest.param("6000", "1", "0.01", None, id="W2 more than any takes"),
    ),
)
def test_which_scale_a_dose_goes_on(grams, step, tolerance, taken):
    """Smallest doses by 0.82 steps / tolerance, worked by hand from the shape of USP general chapter 41."""
    assert usual_scale(D(grams), ALL, step_grams=D(step), tolerance_fraction=D(tolerance)) == taken


def test_rule_w1_counts_the_finest_scale_and_its_own_spread():
    """Worked by hand: 0.82 × 0.01 / 0.02 = 0.41 g; with a spread of 0.02 g 2 × 0.02 / 0.02 = 2 g."""
    assert smallest_on_any(ALL, D("0.02")) == D("0.41")
    assert smallest_on_any((Scale("P", D("0.01"), D(200), sd_grams=D("0.02")),), D("0.02")) == D(2)


def test_rule_w2_more_than_the_scale_takes_is_refused_up_to_its_most():
    check_load(D(2000), BENCH)
    with pytest.raises(ScaleOverloaded, match="Take a larger scale, or weigh it in parts"):
        check_load(D("2000.1"), BENCH)


@pytest.fixture
def scale(owner, workshop):
    figures = {"name": "Bench scale", "max_grams": D(9000), "step_grams": D("0.01"), "test_grams": D(50)}
    return save_scale(figures=figures | {"limit_grams": D("0.05")}, by=owner)


def checked(scale, owner, shown="50.02", on=TODAY):
    return check_scale(scale_id=scale.pk, shown_grams=D(shown), on=on, by=owner)


def test_rule_w8_a_scale_within_its_limit_passes_and_its_edge_too(scale, owner):
    verdicts = [checked(scale, owner, shown).verdict for shown in ("50.05", "49.95", "50.06", "49.94")]
    assert verdicts == ["passed", "passed", "failed", "failed"]


def test_without_a_limit_of_its_own_the_scale_answers_for_class_iii(owner, workshop):
    """OIML R 76-1:2006: 500 steps and less, half a step on verification, a whole one in service."""
    figures = {"name": "Kitchen", "max_grams": D(5000), "step_grams": D(1), "test_grams": D(500)}
    scale = save_scale(figures=figures, by=owner)
    assert [checked(scale, owner, shown).verdict for shown in ("501", "501.1")] == ["passed", "failed"]


def test_a_line_is_weighed_on_a_scale_checked_that_day(scale, owner):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    with pytest.raises(BatchRefusal, match="Bench scale is not checked today"):
        weigh(line, lots, owner)
    checked(scale, owner, on=TODAY - timedelta(days=1))
    with pytest.raises(BatchRefusal, match="not checked today"):
        weigh(line, lots, owner)
    checked(scale, owner)
    weigh(line, lots, owner)
    line.refresh_from_db()
    assert (line.scale, line.on_scale_id) == ("Bench scale", scale.pk)


def test_a_person_may_use_it_unchecked_in_her_own_words_but_not_past_a_failure(scale, owner):
    batch, lots = started_batch(owner)
    with pytest.raises(ScaleRefusal):
        waive_check(scale_id=scale.pk, reason=" ", on=TODAY, by=owner)
    waive_check(scale_id=scale.pk, reason="Test weight is at the repair", on=TODAY, by=owner)
    weigh(batch.weighings.first(), lots, owner)
    checked(scale, owner, "51")
    with pytest.raises(ScaleRefusal, match="Words do not mend that"):
        waive_check(scale_id=scale.pk, reason="In a hurry", on=TODAY, by=owner)
    with pytest.raises(BatchRefusal, match="failed its check today"):
        weigh(batch.weighings.all()[1], lots, owner)


def test_rule_g15_a_failed_check_lists_what_was_weighed_since_the_last_good_one(scale, owner):
    batch, lots = started_batch(owner)
    first, second, third = batch.weighings.all()[:3]
    checked(scale, owner)
    weigh(first, lots, owner)
    good = checked(scale, owner)
    weigh(second, lots, owner)
    weigh(third, lots, owner)
    failed = checked(scale, owner, "50.2")
    assert list(weighed_since_good(failed)) == [second, third]
    assert list(weighed_since_good(good)) == [first]
    (deviation,) = batch.deviations.all()
    assert deviation.what == (
        "Bench scale showed 50.2 g for 50 g. Weighed on it since its last good check: "
        f"{second.material.name}, {third.material.name}."
    )
    assert deviation.is_open


def test_a_good_check_puts_nothing_in_doubt(scale, owner):
    batch, lots = started_batch(owner)
    checked(scale, owner)
    weigh(batch.weighings.first(), lots, owner)
    checked(scale, owner)
    assert not batch.deviations.exists()


def test_rule_g06_a_dose_no_scale_weighs_well_stops_the_plan(owner, workshop):
    """A 50 g step at 1 % needs 4,100 g: none of the oils of a small loaf comes near."""
    figures = {"name": "Platform", "max_grams": D(60000), "step_grams": D(50), "test_grams": D(20000)}
    save_scale(figures=figures | {"limit_grams": D(50)}, by=owner)
    assert WeighRules.with_scales(workshop).smallest_grams("fat") == D(4100)
    with pytest.raises(Exception, match="or more well enough") as refusal:
        planned_batch(owner)
    assert isinstance(refusal.value, DoseTooSmall | BatchRefusal)
    retire_scale(scale_id=ScaleRow.objects.get().pk, on=TODAY, by=owner)
    assert WeighRules.with_scales(workshop).smallest_grams("fat") == D("0.82")


@pytest.mark.parametrize(
    ("figures", "sentence"),
    (
        ({"max_grams": D("0.01"), "test_grams": D("0.01")}, "A scale takes more than one of its steps"),
        ({"test_grams": D(9001)}, "The test weight is more than the scale takes"),
        ({"step_grams": D("0.001"), "limit_grams": None}, "more than 10 000 steps"),
    ),
)
def test_a_scale_that_cannot_be_is_refused(scale, owner, figures, sentence):
    with pytest.raises(ScaleRefusal, match=sentence):
        save_scale(scale_id=scale.pk, figures=figures, by=owner)


def test_the_ticket_says_how_the_scales_stand(scale, owner):
    assert checks_in_words(today=TODAY) == "Bench scale not checked"
    checked(scale, owner)
    assert checks_in_words(today=TODAY) == "Bench scale true"


class TestPages:
    @pytest.mark.parametrize("typed", ("", "abc", "-5", "9e99", "5 kg", "1" * 60, "\0"))
    def test_nonsense_for_a_reading_stays_in_the_box(self, scale, owner_client, typed):
        answer = owner_client.post(f"/stores/scales/{scale.pk}/check/", {"check-shown_grams": typed})
        assert answer.status_code in (302, 422)
        assert ScaleCheck.objects.count() == (1 if answer.status_code == 302 else 0)

    def test_the_way_of_a_scale_by_its_pages(self, owner_client):
        typed = {"name": "Pocket", "max_grams": "200", "step_grams": "0.01", "test_grams": "50", "limit_grams": "0.03"}
        assert owner_client.post("/stores/scales/new/", typed | {"test_grams": "1 kg"}).status_code == 422
        made = owner_client.post("/stores/scales/new/", typed)
        scale = ScaleRow.objects.get()
        assert made.url == f"/stores/scales/{scale.pk}/"
        assert "Not checked today" in owner_client.get("/stores/scales/").content.decode()
        owner_client.post(f"{made.url}check/", {"check-shown_grams": "50.2"})
        assert "It failed its last check" in owner_client.get(made.url).content.decode()
        assert owner_client.post(f"{made.url}unchecked/", {"waive-reason": "Why not"}).status_code == 422
        owner_client.post(f"{made.url}figures/", typed | {"limit_grams": "0.3"})
        owner_client.post(f"{made.url}check/", {"check-shown_grams": "50.2"})
        assert "True today" in owner_client.get("/stores/scales/").content.decode()
        owner_client.post(f"{made.url}retire/")
        assert "Out of use" in owner_client.get("/stores/scales/").content.decode()
        assert owner_client.post(f"{made.url}check/", {"check-shown_grams": "50"}).status_code == 422

    def test_the_same_name_twice_is_refused(self, scale, owner_client):
        typed = {"name": "bench scale", "max_grams": "200", "step_grams": "0.1", "test_grams": "50"}
        owner_client.post("/stores/scales/new/", typed | {"name": scale.name})
        assert ScaleRow.objects.count() == 1
