"""The frozen records that papers are drawn from, in one place to import from."""

from production.documents.declaration_records import AllergenLine, DeclarationLine, DeclarationPaper
from production.documents.label_records import (
    LabelFace,
    LabelLayout,
    LabelRun,
    LabelSheetPaper,
    LabelStock,
    LetterMeasure,
)
from production.documents.ticket_records import (
    BatchTicketPaper,
    CheckLine,
    CurePlan,
    EmergencyFooter,
    PartLine,
    PortionColor,
    PortionLine,
    ProcessStep,
    WeighingLine,
)

__all__ = [
    "AllergenLine",
    "BatchTicketPaper",
    "CheckLine",
    "CurePlan",
    "DeclarationLine",
    "DeclarationPaper",
    "EmergencyFooter",
    "LabelFace",
    "LabelLayout",
    "LabelRun",
    "LabelSheetPaper",
    "LabelStock",
    "LetterMeasure",
    "PartLine",
    "PortionColor",
    "PortionLine",
    "ProcessStep",
    "WeighingLine",
]
