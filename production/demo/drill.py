"""Hold the demo shop's recall drill: what an oil of one batch is in, and who has it."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from production.batches.models import Weighing
from production.demo.shelf import SETTINGS
from production.tracing.actions import finish_recall, start_recall
from production.tracing.models import Recall
from soapshop.models import User

HELD_DAYS_AGO = 12
TOOK = timedelta(minutes=6, seconds=40)


def hold_drill(*, today: date, by: User) -> None:
    day = today - timedelta(days=HELD_DAYS_AGO)
    began = datetime.combine(day, time(9, 10), tzinfo=ZoneInfo(SETTINGS["time_zone"]))
    weighed = Weighing.objects.filter(lot__isnull=False, phase=Weighing.Phase.OILS).order_by("pk")
    drill = start_recall(
        kind=Recall.Kind.DRILL,
        typed=str(weighed.values_list("lot__code", flat=True)[0]),
        trigger=Recall.Trigger.PRACTICE,
        reason="Drill: find all that this lot is in, and who has it.",
        by=by,
        at=began,
    )
    finish_recall(recall_id=drill.pk, words="Every bar found, every customer could be reached.", by=by, at=began + TOOK)
