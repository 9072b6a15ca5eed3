"""Who answers for the bars in each market, and what a safety assessor allowed."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from formulas.models import Design
from production.labels.models import Assessment, MarketPerson
from soapshop.audit import changed_fields, note_event
from soapshop.models import User


class HouseRefused(Exception):
    """This cannot be kept; the message says why and the mend."""


@transaction.atomic
def keep_person(*, market: str, name: str, address: str, origin: str, by: User) -> MarketPerson:
    """Name who answers in one market; labels printed from now on say so, earlier ones keep theirs."""
    wanted = {"name": " ".join(name.split()), "address": _lines(address), "origin": " ".join(origin.split())}
    if not wanted["name"] or not wanted["address"]:
        raise HouseRefused("Give the name and the address of who answers in this market.")
    row = MarketPerson.objects.select_for_update().filter(market=market).first() or MarketPerson(market=market)
    before, after = changed_fields(row, wanted)
    for field, text in wanted.items():
        setattr(row, field, text)
    row.save()
    text = f"{row.name} answers for the bars in {row.get_market_display()}."
    note_event(by=by, verb="keep_person", subject=row, text=text, before=before, after=after)
    return row


@transaction.atomic
def note_assessment(
    *,
    design: Design,
    market: str,
    assessor: str,
    report: str,
    assessed_on: date,
    revision_number: int,
    most_scent_percent: Decimal | None,
    share_of: str,
    by: User,
    on: date,
) -> Assessment:
    """Write down a safety report; the newest one for a design and market holds, earlier ones stay on file."""
    if assessed_on > on:
        raise HouseRefused("A report of a day to come cannot hold yet. Check the day.")
    if not design.formula.revisions.filter(number=revision_number).exists():
        raise HouseRefused(f"{design.formula} has no revision {revision_number}. Look it up in the report.")
    kept = Assessment.objects.create(
        design=design,
        market=market,
        assessor=assessor,
        report=report,
        assessed_on=assessed_on,
        formula_name=design.formula.name,
        revision_number=revision_number,
        most_scent_percent=most_scent_percent,
        share_of=share_of,
        noted_by=by,
    )
    after = {"market": market, "revision": revision_number, "most_scent_percent": most_scent_percent}
    text = f"Report {report} by {assessor} covers {design}, {design.formula} revision {revision_number}."
    note_event(by=by, verb="note_assessment", subject=design, text=text, after=after)
    return kept


def _lines(address: str) -> str:
    """Lines of an address joined by commas, as they stand in one box."""
    return ", ".join(part for part in (" ".join(line.split()).strip(",") for line in address.splitlines()) if part)
