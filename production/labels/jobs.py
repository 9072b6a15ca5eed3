"""Sheets of labels made beside the server: with the bytes of their logo, and refused here when the words do not fit."""

from production.documents.label_fit import fit_label
from production.documents.label_records import LabelSheetPaper
from production.documents.label_sheet import LONGEST_LABEL_TEXT, LabelJob, label_job_pdf
from production.labels.stocks import all_stocks
from soapshop.paper import PaperRefused
from soapshop.paper_press import print_beside
from soapshop.paper_words import exact_words
from soapshop.photos import PhotoMissing, open_photo


def new_sheet_pdf(paper: LabelSheetPaper) -> bytes:
    """Print labels for the first time; words that do not fit are told every stock that would do, the shop's own too.

    Raises PaperRefused or PaperUnavailable.
    """
    stocks = all_stocks().values()
    for run in exact_words(paper, longest=LONGEST_LABEL_TEXT).runs:
        fit_label(run.face, paper.stock, others=stocks)
    return sheet_pdf(paper)


def sheet_pdf(paper: LabelSheetPaper) -> bytes:
    """Print labels as they stand in the record, in the process beside."""
    return print_beside(label_job_pdf, LabelJob(paper, _logo_jpeg(paper)))


def _logo_jpeg(paper: LabelSheetPaper) -> bytes:
    """The builder reads no file, so the logo is handed over as bytes."""
    if not paper.logo_name:
        return b""
    try:
        with open_photo(paper.logo_name) as file:
            return file.read()
    except PhotoMissing as missing:
        raise PaperRefused(f"The logo of these labels cannot be read. {missing}") from missing
