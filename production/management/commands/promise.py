"""``manage.py promise``: the day that can be told for so many bars of a design."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from formulas.models import Design
from production.plan.promises import offers_for
from production.planning.plan_json import as_json
from soapshop.clock import workshop_today

REFUSED = 2


class Command(BaseCommand):
    help = "Tell the day that can be promised: from free bars, with nothing moved, or (given seconds) by moving others."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("design", help="name of the design")
        parser.add_argument("bars", type=int)
        parser.add_argument("--travel-days", type=int, default=0)
        parser.add_argument(
            "--seconds", type=float, default=0.0, help="how long to look for moves of other batches (0)"
        )
        parser.add_argument("--json", action="store_true", help="print the offers as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        design = Design.objects.filter(name=options["design"]).select_related("mold", "formula").first()
        if design is None:
            raise CommandError(f"There is no design “{options['design']}”. Look at Designs.", returncode=REFUSED)
        if not 1 <= options["bars"] <= 5000 or not 0 <= options["travel_days"] <= 90:
            raise CommandError("Give from 1 to 5,000 bars and from 0 to 90 days on the way.", returncode=REFUSED)
        found = offers_for(
            design,
            options["bars"],
            today=workshop_today(),
            travel_days=options["travel_days"],
            seconds=min(max(options["seconds"], 0.0), 600.0),
        )
        if options["json"]:
            offers = [
                {"in_hand_on": each.in_hand_on.isoformat(), "words": each.words, **as_json(each.promise)}
                for each in found.offers
            ]
            self.stdout.write(json.dumps({"design": design.name, "bars": found.bars, "offers": offers}, indent=2))
        else:
            self.stdout.write("\n".join(f"{each.in_hand_on:%b %d, %Y}  {each.words}" for each in found.offers))
        if found.problem:
            raise CommandError(found.problem, returncode=REFUSED)
