"""``manage.py trace``: where something came from and where it went."""

import json
from argparse import ArgumentParser
from collections.abc import Iterable
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError

from production.tracing.reads import whole_trace
from production.tracing.records import Trace
from production.tracing.subjects import NotFound, find_subject
from production.tracing.trace_json import trace_json
from production.tracing.words import answer

REFUSED = 2


class Command(BaseCommand):
    help = "Trace a lot, a batch or the code on a bar, a lot of parts, an order, a supplier's lot (list or range)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", help="such as L26-001, B26-003, 1004, or 4001-9288 for suppliers' lots")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found = whole_trace(find_subject(options["what"]))
        except NotFound as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from None
        except (OperationalError, ProgrammingError):
            words = "The shop's database is busy or not set up. Run python3 manage.py migrate, then try again."
            raise CommandError(words, returncode=REFUSED) from None
        if options["json"]:
            self.stdout.write(json.dumps(trace_json(found), indent=2, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(_lines(found)))


def _lines(trace: Trace) -> Iterable[str]:
    yield f"{trace.title}: {answer(trace)}"
    for lot in trace.from_lots:
        yield f"  from {lot.code} {lot.material}, {lot.supplier or 'supplier not noted'}, lot {lot.supplier_lot}"
    for part in trace.from_part_lots:
        yield f"  from {part.code} {part.part}"
    for batch in trace.from_batches:
        yield f"  from {batch.number} {batch.design}"
    for lot in trace.to_lots:
        yield f"  into {lot.code} {lot.material}"
    for part in trace.to_part_lots:
        yield f"  into {part.code} {part.part}"
    for batch in trace.batches:
        bars = trace.bars_of(batch.number)
        yield f"  in {batch.number} {batch.design}, {batch.state.lower()}: {bars.made} made, {bars.shipped} handed over"
    for call in trace.calls:
        reach = call.reach or "no way to reach them noted"
        yield f"  tell order {call.order} {call.customer} ({reach}): {call.shipped} handed over, {call.kept} kept"
