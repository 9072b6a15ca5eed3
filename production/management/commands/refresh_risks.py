"""Judge every promised order anew, for a daily run: days pass without anybody changing a plan."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from orders.models import Order
from production.today.actions import refresh_risks
from soapshop.clock import workshop_today


class Command(BaseCommand):
    help = "Write on each order whether it is at risk. Run it once a day."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the orders at risk as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        count = refresh_risks(today=workshop_today())
        at_risk = Order.objects.filter(is_at_risk=True).values_list("number", "risk_text")
        if options["json"]:
            orders = [{"order": number, "risk": text} for number, text in at_risk]
            self.stdout.write(json.dumps({"at_risk": orders}, ensure_ascii=False, indent=2))
            return
        self.stdout.write(f"{count} order{'' if count == 1 else 's'} at risk.")
        for number, text in at_risk:
            self.stdout.write(f"{number}: {text}")
