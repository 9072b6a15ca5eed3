"""The ingredient declaration with its working, to keep with the batch."""

from production.documents.declaration_records import DeclarationPaper


def declaration_sheet_pdf(paper: DeclarationPaper) -> bytes:
    """Return the sheet as PDF; raises PaperRefused or PaperUnavailable with a sentence for people."""
    raise NotImplementedError
