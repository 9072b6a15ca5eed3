"""The pot of oils on the scale before the lye meets it."""

from decimal import Decimal

import pytest

from production.batches.actions.bench import pour_batch
from production.batches.asked import BatchRefusal
from tests.production.builders import TODAY, weighed_batch


class TestThePotBeforeTheLye:
    """Rule G09: within two steps of the scale and 0.2 % of the running total, else a reason is asked for."""

    def test_a_forgotten_or_doubled_oil_is_asked_about(self, owner, workshop):
        batch, _ = weighed_batch(owner)
        oils = sum(line.actual_grams for line in batch.weighings.filter(phase="oils"))
        allowed = 2 * workshop.fat_scale_step_grams + oils / 500
        told = {"batch_id": batch.pk, "on": TODAY, "by": owner}
        for shown, word in ((oils - allowed - 1, "are missing"), (oils + allowed + 1, "too much")):
            with pytest.raises(BatchRefusal, match=word):
                pour_batch(**told, pot_grams=shown)
        poured = pour_batch(**told, pot_grams=oils - allowed)
        assert (poured.status, poured.deviations.count()) == ("poured", 0)

    def test_with_a_reason_it_is_poured_and_written_down(self, owner, workshop):
        batch, _ = weighed_batch(owner)
        poured = pour_batch(
            batch_id=batch.pk, on=TODAY, by=owner, pot_grams=Decimal(50), reason="The pot stands on the lid"
        )
        assert poured.deviations.get().what.endswith("The pot stands on the lid")

    def test_case_c94_ounces_on_a_scale_set_to_grams_show_at_once(self, owner, workshop):
        """C94: 300 oz stand where 300 g were meant; the pot then weighs 28 times too much (28.35 g an ounce)."""
        batch, _ = weighed_batch(owner)
        oils = sum(line.actual_grams for line in batch.weighings.filter(phase="oils"))
        with pytest.raises(BatchRefusal, match="read in another unit"):
            pour_batch(batch_id=batch.pk, on=TODAY, by=owner, pot_grams=oils * Decimal("28.35"))

    def test_case_c15_the_liquid_oils_were_forgotten_and_the_molds_are_half_full(self, owner, workshop):
        """C15: half the weight is missing. Ticking lines from habit does not help: the pot on the scale tells."""
        batch, _ = weighed_batch(owner)
        oils = sum(line.actual_grams for line in batch.weighings.filter(phase="oils"))
        told = {"batch_id": batch.pk, "on": TODAY, "by": owner}
        with pytest.raises(BatchRefusal, match="Was an oil left out"):
            pour_batch(**told, pot_grams=oils / 2)
        with pytest.raises(BatchRefusal, match="Weigh again, or write down the reason"):
            pour_batch(**told, in_molds_grams=batch.batter_grams / 2)
