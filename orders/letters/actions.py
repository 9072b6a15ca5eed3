"""Send a letter to a customer, once a person has read it and pressed the button."""

from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.db import transaction

from orders.actions import note_order
from orders.models import Order, Paper
from orders.papers.documents import customer_paper_pdf
from orders.papers.records import CustomerPaper
from soapshop.frozen_json import from_json
from soapshop.models import User, Workshop
from soapshop.paper import PaperError
from soapshop.paper_press import print_beside


class LetterRefused(Exception):
    """A letter was not sent; the message says why and the mend."""


def send_letter(*, order_id: int, to: str, subject: str, body: str, by: User, paper: Paper | None = None) -> None:
    """Send the letter when the order's book has it; one that does not go out is noted too."""
    if "\n" in subject or "\r" in subject:
        raise LetterRefused("The subject is one line. Take the line break out.")
    message = EmailMessage(subject, body, to=[to], reply_to=_reply_to())
    if paper is not None:
        try:
            pdf = print_beside(customer_paper_pdf, from_json(CustomerPaper, paper.frozen))
        except PaperError as refusal:
            raise LetterRefused(str(refusal)) from refusal
        message.attach(f"{paper.number}.pdf", pdf, "application/pdf")
    with transaction.atomic():
        order = Order.objects.select_for_update().get(pk=order_id)
        if paper is not None and paper.order_id != order.pk:
            raise LetterRefused("That paper belongs to another order. Choose one of this order.")
        attached = f", with {paper.number}" if paper else ""
        note_order(order=order, by=by, verb="send_letter", text=f"E-mail to {to}: {subject}{attached}.")
        transaction.on_commit(lambda: _send(message, order, by))


def _send(message: EmailMessage, order: Order, by: User) -> None:
    try:
        message.send()
    except (SMTPException, OSError) as fault:
        text = f"The e-mail “{message.subject}” did not go out ({type(fault).__name__})."
        note_order(order=order, by=by, verb="letter_failed", text=text)
        raise LetterRefused(
            "The e-mail did not go out: the mail server did not take it. Check the mail settings, then send it again."
        ) from fault


def _reply_to() -> list[str]:
    email = Workshop.current().email
    return [email] if email else []
