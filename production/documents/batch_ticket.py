"""The batch ticket: the sheet that hangs at the bench and is filled in by hand."""

from production.documents.ticket_records import BatchTicketPaper


def batch_ticket_pdf(paper: BatchTicketPaper) -> bytes:
    """Return the ticket as PDF; raises PaperRefused or PaperUnavailable with a sentence for people."""
    raise NotImplementedError
