"""``manage.py cure_status``: which bars have finished curing, and for whom."""

import json
from argparse import ArgumentParser
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError
from django.utils import timezone

from production.cure.actions.review import update_ready
from production.cure.reads import Rack, read_rack
from production.cure.status import rack_json, rack_text
from soapshop.models import Workshop

REFUSED = 2


class Command(BaseCommand):
    help = "Print each batch on the rack: bars by finish, day of cure, days to go, ready or not and why, for whom."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print figures as JSON")
        parser.add_argument("--update", action="store_true", help="first note batches that the facts call ready")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            rack = self._rack(notes_ready=options["update"])
        except (OperationalError, ProgrammingError):
            words = "The shop's database is busy or not set up. Run python3 manage.py migrate, then try again."
            raise CommandError(words, returncode=REFUSED) from None
        if options["json"]:
            self.stdout.write(json.dumps(rack_json(rack), indent=2, ensure_ascii=False))
        else:
            self.stdout.write(rack_text(rack))

    def _rack(self, *, notes_ready: bool) -> Rack:
        with timezone.override(ZoneInfo(Workshop.current().time_zone)):
            today = timezone.localdate()
            if notes_ready:
                update_ready(today=today, by=None)
            return read_rack(today=today)
