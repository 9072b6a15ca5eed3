from datetime import UTC, date, datetime
from decimal import Decimal

from soapshop.audit import changed_fields, note_event, written
from soapshop.models import AuditEvent, User, Workshop


def test_event_says_who_did_what_to_which(owner, workshop):
    note_event(
        by=owner,
        verb="change_workshop",
        subject=workshop,
        text="Changed the cure.",
        before={"cure_days": 42, "least_superfat_percent": Decimal("2.00")},
        after={"cure_days": 35, "least_superfat_percent": Decimal("1.50")},
    )
    event = AuditEvent.objects.get()
    assert (event.by, event.verb, event.subject_type, event.subject_id) == (
        owner,
        "change_workshop",
        "soapshop.workshop",
        "1",
    )
    assert event.before == {"cure_days": 42, "least_superfat_percent": "2.00"}
    assert event.after == {"cure_days": 35, "least_superfat_percent": "1.50"}


def test_figures_are_written_without_losing_a_digit():
    assert written(Decimal("1E+3")) == "1000"
    assert written((Decimal("0.10"), date(2026, 5, 1), None, True)) == ["0.10", "2026-05-01", None, True]
    assert written(datetime(2026, 5, 1, 8, 30, tzinfo=UTC)) == "2026-05-01T08:30:00+00:00"
    assert written({"role": User.Role.OWNER}) == {"role": "owner"}


def test_changed_fields_leaves_out_what_stays_the_same():
    shop = Workshop(cure_days=42, pack_days=3)
    assert changed_fields(shop, {"cure_days": 35, "pack_days": 3}) == ({"cure_days": 42}, {"cure_days": 35})
