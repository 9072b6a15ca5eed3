"""All models of the app in one place for Django; each lives with its noun."""

from production.batches.models import Batch, BatchFor, Deviation, PortionFill, StepRecord, Weighing
from production.cure.models import BarMove, Check, CureWeighing, Parcel, Release
from production.labels.models import (
    Assessment,
    LabelAnswer,
    LabelCount,
    LabelPrint,
    LotWeighing,
    MarketPerson,
    Printer,
    PrinterFit,
    ShopStock,
)
from production.lot_papers.models import LotPaper
from production.notes.models import Note
from production.part_batches.models import PartBatch, PartWeighing
from production.plan.models import BatchPin, HeldDate, PlanRun, SpecialDay, TimeAway, WorkWeek
from production.scales.models import Scale, ScaleCheck
from production.shopping.models import Offer
from production.stock.models import Lot, Origin, PartLot, PartMove, StockMove, Supplier
from production.test_pours.models import TestPour
from production.timers.models import Timer
from production.tracing.models import Recall, RecallContact

__all__ = [
    "Assessment",
    "BarMove",
    "Batch",
    "BatchFor",
    "BatchPin",
    "Check",
    "CureWeighing",
    "Deviation",
    "HeldDate",
    "LabelAnswer",
    "LabelCount",
    "LabelPrint",
    "Lot",
    "LotPaper",
    "LotWeighing",
    "MarketPerson",
    "Note",
    "Offer",
    "Origin",
    "Parcel",
    "PartBatch",
    "PartLot",
    "PartMove",
    "PartWeighing",
    "PlanRun",
    "PortionFill",
    "Printer",
    "PrinterFit",
    "Recall",
    "RecallContact",
    "Release",
    "Scale",
    "ScaleCheck",
    "ShopStock",
    "SpecialDay",
    "StepRecord",
    "StockMove",
    "Supplier",
    "TestPour",
    "TimeAway",
    "Timer",
    "Weighing",
    "WorkWeek",
]
