"""``manage.py plan_order``: how many bars, which molds, the day to pour by; with --accept the batches are made."""

import json
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from orders.models import Order
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.proposal import LineProposal, OrderProposal, propose_for_order
from soapshop.clock import workshop_today
from soapshop.models import User, Workshop

REFUSED = 2


class Command(BaseCommand):
    help = "Propose the batches an order needs, with the day to pour by; --accept makes them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("order", help="number of the order, such as 1001")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")
        parser.add_argument("--accept", action="store_true", help="make the batches")
        parser.add_argument("--pour-on", type=date.fromisoformat, help="pour day for all batches, as 2026-05-31")
        parser.add_argument("--by", default="", help="name of the person, as used to sign in (needed with --accept)")

    def handle(self, *args: Any, **options: Any) -> None:
        order = Order.objects.for_page().filter(number=options["order"]).first()
        if order is None:
            raise CommandError(
                f"There is no order {options['order']}. Look at the numbers on Orders.", returncode=REFUSED
            )
        today = workshop_today()
        if options["accept"]:
            self._accept(order, today=today, pour_on=options["pour_on"], by=options["by"])
            order = Order.objects.for_page().get(pk=order.pk)
        proposal = propose_for_order(order, workshop=Workshop.current(), today=today)
        if options["json"]:
            self.stdout.write(json.dumps(plan_json(proposal), indent=2, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(plan_text(proposal)))
        problems = [line.problem for line in proposal.lines if line.problem and line.open_bars]
        if problems:
            raise CommandError("\n".join(problems), returncode=REFUSED)

    def _accept(self, order: Order, *, today: date, pour_on: date | None, by: str) -> None:
        person = User.objects.filter(username=by).first()
        if person is None:
            raise CommandError("Say who makes the batches: --by and a name used to sign in.", returncode=REFUSED)
        try:
            plan_batches(order_id=order.pk, today=today, pour_on=pour_on, by=person)
        except BatchRefusal as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from refusal


def plan_json(proposal: OrderProposal) -> dict[str, Any]:
    return {
        "order": proposal.order.number,
        "needed_by": proposal.order.needed_by.isoformat(),
        "pour_by": None if proposal.pour_by is None else proposal.pour_by.isoformat(),
        "is_late": proposal.is_late,
        "lines": [_line_json(line) for line in proposal.lines],
    }


def _line_json(line: LineProposal) -> dict[str, Any]:
    count = line.countback
    return {
        "design": line.line.design.name,
        "bars": line.line.bars,
        "bars_in_batches": line.planned_bars,
        "bars_open": line.open_bars,
        "bars_to_pour": line.bars_to_pour,
        "pours": [
            {
                "mold": pour.mold.name,
                "molds": pour.mold_count,
                "bars_made": pour.bars_made,
                "bars_for_order": pour.ordered_bars,
            }
            for pour in line.pours
        ],
        "parts": [{"part": part.name, "pieces": part.pieces, "spares": part.spares} for part in line.parts],
        "pour_by": None if count is None else count.pour_by.isoformat(),
        "last_safe_pour": None if count is None else count.last_safe_pour.isoformat(),
        "in_hand_on": None if count is None else count.in_hand_on.isoformat(),
        "is_late": False if count is None else count.is_late,
        "late_days": 0 if count is None else count.late_days,
        "warnings": [] if count is None else [f"{warning.text} {warning.mend}" for warning in count.warnings],
        "choices": [] if count is None else [choice.text for choice in count.choices],
        "problem": line.problem,
    }


def plan_text(proposal: OrderProposal) -> list[str]:
    words = [f"Order {proposal.order.number}, needed by {proposal.order.needed_by:%b %d, %Y}"]
    for line in proposal.lines:
        words.append(f"  {line.line.bars} bars of {line.line.design.name}: {line.planned_bars} in batches")
        if not line.open_bars:
            continue
        words.append(f"    to pour {line.bars_to_pour} bars, spares included")
        words += [
            f"    pour {place}: {pour.mold_count} × {pour.mold.name}, {pour.bars_made} bars"
            for place, pour in enumerate(line.pours, start=1)
        ]
        words += [f"    {part.name}: {part.pieces} + {part.spares} spare" for part in line.parts]
        if line.countback is not None:
            words.append(f"    pour by {line.countback.pour_by:%b %d, %Y}. {line.countback.reason}")
            words += [f"    - {choice.text}" for choice in line.countback.choices]
    return words
