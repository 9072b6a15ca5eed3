"""Labels on sheets or a roll, each in its exact place."""

from production.documents.label_records import LabelSheetPaper


def label_sheet_pdf(paper: LabelSheetPaper) -> bytes:
    """Return the labels as PDF; raises LabelDoesNotFit, PaperRefused or PaperUnavailable."""
    raise NotImplementedError
