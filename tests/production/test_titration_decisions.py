"""What tests of alkali lead to.

The 0.05 % limit: IS 2888:2004 Table 1 and IS 13498. pH 11.5: Regulation (EC) 1272/2008. All other steps are common
practice without a published source.
"""

from datetime import date
from decimal import Decimal

import pytest

from production.cure.alkali import AlkaliLevel, CheckMade, judge_alkali

DAY = date(2026, 6, 1)
LOOKS_FINE = CheckMade("looks", DAY)


def check(method, figure=None, on=DAY, **more):
    return CheckMade(method, on, None if figure is None else Decimal(figure), **more)


def judged(*checks, superfat="5"):
    return judge_alkali(tuple(checks), superfat_percent=None if superfat is None else Decimal(superfat))


@pytest.mark.parametrize(
    ("percent", "level", "codes"),
    (
        ("0", "clear", []),
        ("0.034", "clear", []),
        ("0.05", "clear", []),
        ("0.0501", "hold", ["titration_hold"]),
        ("0.10", "hold", ["titration_hold"]),
        ("0.101", "reject", ["titration_reject"]),
    ),
)
def test_titration(percent, level, codes):
    decision = judged(check("titration", percent))
    assert decision.level == level
    assert [finding.code for finding in decision.findings] == codes
    assert decision.is_tested


@pytest.mark.parametrize(
    ("ph", "level", "codes"),
    (
        ("8.4", "ask", ["ph_low"]),
        ("8.5", "clear", []),
        ("9.6", "clear", []),
        ("10.5", "clear", []),
        ("10.6", "hold", ["ph_hold"]),
        ("11.0", "hold", ["ph_hold"]),
        ("11.1", "hold", ["ph_titrate"]),
        ("11.4", "hold", ["ph_titrate"]),
        ("11.5", "stop", ["ph_stop"]),
    ),
)
def test_ph_with_looks_and_superfat_known(ph, level, codes):
    decision = judged(LOOKS_FINE, check("ph", ph))
    assert (decision.level, [finding.code for finding in decision.findings]) == (level, codes)


def test_a_ph_alone_is_never_enough():
    assert [finding.code for finding in judged(check("ph", "9.5")).findings] == ["ph_alone"]
    assert [finding.code for finding in judged(LOOKS_FINE, check("ph", "9.5"), superfat=None).findings] == [
        "superfat_unknown",
        "ph_alone",
    ]


@pytest.mark.parametrize(
    ("superfat", "level", "code"),
    (
        ("2", "clear", None),
        ("1.9", "ask", "superfat_low"),
        ("0", "ask", "superfat_low"),
        (None, "ask", "superfat_unknown"),
    ),
)
def test_superfat_beside_a_clear_titration(superfat, level, code):
    decision = judged(check("titration", "0.02"), superfat=superfat)
    assert decision.level == level
    assert [finding.code for finding in decision.findings] == ([code] if code else [])


def test_no_superfat_left_is_held_until_a_titration():
    """An olive soap planned at 0 % (with vinegar) goes on hold; a titration clears it, a tongue touch does not."""
    assert judged(LOOKS_FINE, check("zap"), superfat="0").level == AlkaliLevel.HOLD
    assert judged(LOOKS_FINE, check("ph", "9.5"), superfat="0").level == AlkaliLevel.HOLD
    assert judged(check("titration", "0.04"), superfat="0").level == AlkaliLevel.ASK


def test_bad_looks_hold_whatever_the_figures():
    decision = judged(check("looks", is_normal=False), check("titration", "0.01"))
    assert (decision.level, decision.findings[0].code) == (AlkaliLevel.HOLD, "looks")


def test_a_later_titration_answers_a_raised_ph_but_not_a_stop():
    later, earlier = date(2026, 6, 8), date(2026, 5, 25)
    assert judged(check("ph", "10.8"), check("titration", "0.02", later)).level == AlkaliLevel.CLEAR
    assert judged(check("ph", "10.8"), check("titration", "0.02", earlier)).level == AlkaliLevel.HOLD
    assert judged(check("ph", "11.6"), check("titration", "0.02", later)).level == AlkaliLevel.STOP


@pytest.mark.parametrize(
    ("checks", "code", "is_tested"),
    (
        ((), "no_test", False),
        ((LOOKS_FINE,), "no_test", False),
        ((check("zap"),), "no_test", False),
        ((LOOKS_FINE, check("ph", "9.5", is_meter_checked=False)), "meter_not_checked", False),
    ),
)
def test_without_a_test_the_person_is_asked(checks, code, is_tested):
    decision = judged(*checks)
    assert (decision.level, [finding.code for finding in decision.findings]) == (AlkaliLevel.ASK, [code])
    assert decision.is_tested == is_tested


def test_the_newest_titration_counts_and_the_first_is_not_hidden():
    decision = judged(
        check("titration", "0.07", date(2026, 5, 20)),
        check("titration", "0.06", date(2026, 5, 27)),
        check("titration", "0.04", date(2026, 6, 3)),
    )
    assert decision.level == AlkaliLevel.CLEAR
    assert [finding.text for finding in decision.findings] == ["3 titrations were made and the first was above 0.05 %."]


def test_of_two_on_one_day_the_one_entered_last_counts():
    assert judged(check("titration", "0.08"), check("titration", "0.02")).level == AlkaliLevel.CLEAR
    assert judged(check("titration", "0.02"), check("titration", "0.08")).level == AlkaliLevel.HOLD
