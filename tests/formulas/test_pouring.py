"""Warnings before the pour, each with a case where it stays silent."""

from decimal import Decimal

import pytest

from formulas.pouring import PouredJug, PouredPart, ScentFacts, is_light, pour_findings, pour_time

D = Decimal
ORANGE = ScentFacts("Orange oil", speeds_trace=True)


def jugs(count: int, **more) -> tuple[PouredJug, ...]:
    return tuple(PouredJug(letter, **more) for letter in "ABCDEFGH"[:count])


def found(findings) -> list[tuple[str, str]]:
    return [(finding.level, finding.code) for finding in findings]


class TestTime:
    def test_four_jugs_with_a_fast_scent(self):
        """case-C52: four pots with orange oil were solid by the third."""
        (finding,) = pour_findings(jugs(4), lye_concentration_percent=D(33), scent=ORANGE)
        assert (finding.level, finding.code) == ("ask", "pour_time")
        assert finding.text == (
            "Orange oil speeds up trace: 4 jugs want 4 to 8 minutes of pouring, "
            "but the batter stays pourable for 0 to 3."
        )

    def test_two_jugs_in_a_slow_mix(self):
        assert pour_findings(jugs(2), lye_concentration_percent=D(33)) == ()

    def test_many_jugs_in_a_slow_mix_are_only_tight(self):
        assert found(pour_findings(jugs(5), lye_concentration_percent=D(33))) == [("note", "pour_time")]

    def test_fast_scent_that_no_jug_gets(self):
        assert pour_findings(jugs(2, scented=False), lye_concentration_percent=D(33), scent=ORANGE) == ()

    @pytest.mark.parametrize(("lye", "open_most"), (("30", 20), ("33", 20), ("40", 10)))
    def test_strong_lye_shortens_the_time(self, lye, open_most):
        assert pour_time(1, lye_concentration_percent=D(lye), speeds_trace=False).open_most == open_most


class TestBrowning:
    @pytest.mark.parametrize(
        ("vanillin", "shade"), (("11.5", "dark brown"), ("5", "tan")), ids=("case-C54", "case-C54 slight")
    )
    def test_light_jug_with_vanilla(self, vanillin, shade):
        scent = ScentFacts("Vanilla", vanillin_percent=D(vanillin))
        (finding,) = pour_findings(jugs(1, is_light=True), lye_concentration_percent=D(33), scent=scent)
        assert finding.text == f"Vanilla turns light batter {shade} within two to three weeks: jug A."

    @pytest.mark.parametrize(
        ("jug", "vanillin"),
        (
            (PouredJug("A", is_light=True), "1"),
            (PouredJug("A"), "12"),
            (PouredJug("A", scented=False, is_light=True), "12"),
        ),
        ids=("hardly any", "dark jug", "unscented jug"),
    )
    def test_silent(self, jug, vanillin):
        scent = ScentFacts("Vanilla", vanillin_percent=D(vanillin))
        assert pour_findings((jug,), lye_concentration_percent=D(33), scent=scent) == ()

    def test_what_was_seen_here_outweighs_the_supplier(self):
        """case-C54: the supplier said slight, the real change came at two to three weeks."""
        scent = ScentFacts("Vanilla", vanillin_percent=D("0.5"), seen="week 1 cream, week 3 tan")
        (finding,) = pour_findings(jugs(1, is_light=True), lye_concentration_percent=D(33), scent=scent)
        assert finding.text == "Vanilla changed light soap here (week 1 cream, week 3 tan): jug A."

    def test_the_second_scent_is_looked_at_too(self):
        others = (ScentFacts("Vanilla", vanillin_percent=D(12)),)
        findings = pour_findings(
            jugs(1, is_light=True), lye_concentration_percent=D(33), scent=ScentFacts("Fern"), others=others
        )
        assert [finding.text.split()[0] for finding in findings] == ["Vanilla"]

    @pytest.mark.parametrize(
        ("color", "light"), (("#ffffff", True), ("#f4f1e8", True), ("#3f6f8c", False), ("#000000", False), ("", True))
    )
    def test_light_colors(self, color, light):
        """Weighed by the figures of ITU-R BT.601: white is 255, #3f6f8c about 100."""
        assert is_light(color) is light

    def test_supplier_says_nothing(self):
        assert pour_findings(jugs(1, is_light=True), lye_concentration_percent=D(33), scent=ScentFacts("Honey")) == ()


class TestUntried:
    def test_new_scent_wants_a_test_bar(self):
        """case-C53."""
        scent = ScentFacts("Honey blend", is_tested=False)
        assert found(pour_findings(jugs(1), lye_concentration_percent=D(33), scent=scent)) == [
            ("ask", "scent_untested")
        ]


class TestEmbeds:
    """case-C58: embeds cured dry shrink no more and leave a gap with fresh batter; the body's formula is preferred."""

    @pytest.mark.parametrize(
        ("facts", "codes"),
        (
            ({"is_embedded": True, "oldest_days": 14}, []),
            ({"is_embedded": True, "oldest_days": 60}, ["old_embed"]),
            ({"is_embedded": True, "is_of_another_formula": True}, ["part_of_another_formula"]),
            ({"is_of_another_formula": True, "oldest_days": 60}, []),
        ),
        ids=("young and of the same formula", "dry", "of another formula", "on the bar, not in it"),
    )
    def test_what_shrinks_apart(self, facts, codes):
        part = PouredPart("Moon", forbids_heat=False, is_on_at_the_pour=True, **facts)
        findings = pour_findings(jugs(1), lye_concentration_percent=D(33), parts=(part,))
        assert [finding.code for finding in findings] == codes


class TestHeat:
    SHELL = PouredPart("Shell", forbids_heat=True, is_on_at_the_pour=True)

    def test_melting_topper_in_gel(self):
        """case-C55: oven heat melted the toppers."""
        findings = pour_findings(jugs(1), lye_concentration_percent=D(33), parts=(self.SHELL,), is_heated=True)
        assert found(findings) == [("stop", "part_meets_heat")]

    @pytest.mark.parametrize(
        ("part", "is_heated"),
        (
            (SHELL, False),
            (PouredPart("Shell", forbids_heat=True, is_on_at_the_pour=False), True),
            (PouredPart("Leaf", forbids_heat=False, is_on_at_the_pour=True), True),
        ),
        ids=("kept cool", "put on after the cut", "stands heat"),
    )
    def test_silent(self, part, is_heated):
        assert pour_findings(jugs(1), lye_concentration_percent=D(33), parts=(part,), is_heated=is_heated) == ()
