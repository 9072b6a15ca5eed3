"""What the rules leave open and a person decided: one record for each question, kept for the design and its market.

An answer holds as long as the question reads the same; a changed one is asked again.
"""

from datetime import date

from django.db import transaction

from production.batches.models import Batch
from production.labels.choices import LabelAsk
from production.labels.models import LabelAnswer
from production.labels.reads import batch_for_labels
from production.labels.sheets import LabelRefusal, prepare_label
from soapshop.audit import note_event
from soapshop.models import User, Workshop

SHORTEST_ANSWER = 3
LONGEST_ANSWER = 400


@transaction.atomic
def answer_question(
    *, batch_id: int, ask: LabelAsk, question: str, answer: str, on: date, by: User | None
) -> LabelAnswer:
    """Keep who decided what about one open question of a label; refuses a question that is not open."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    prepared = prepare_label(batch_for_labels().get(pk=batch_id), ask, workshop=Workshop.current(), on=on)
    asked = next((problem for problem in prepared.asks if problem.code == question), None)
    if asked is None:
        raise LabelRefusal("This question is not open any more. Look at the label again.")
    words = " ".join(answer.split())
    if not SHORTEST_ANSWER <= len(words) <= LONGEST_ANSWER:
        raise LabelRefusal(f"Say what was decided, in {SHORTEST_ANSWER} to {LONGEST_ANSWER} letters.")
    kept = LabelAnswer.objects.create(
        design_id=batch.design_id,
        market=ask.market,
        question=question,
        asked=asked.text,
        answer=words,
        decided_by=by,
    )
    after = {"market": ask.market, "question": question, "asked": asked.text, "answer": words}
    note_event(by=by, verb="answer_question", subject=kept.design, text=f"Decided: {words}", after=after)
    return kept
