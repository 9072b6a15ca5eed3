"""Notes and photos of a batch: of the whole, of one jug, of something that went wrong, of a week on the rack."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from production.batches.models import Batch, Deviation
from soapshop.photos import LONGEST_NAME


class Note(models.Model):
    """What somebody saw. Only ever added: no figure of the shop is read from it."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="notes")
    portion_letter = models.CharField("jug", max_length=2, blank=True)
    deviation = models.ForeignKey(Deviation, null=True, blank=True, on_delete=models.PROTECT, related_name="notes")
    week = models.PositiveSmallIntegerField("week of cure", null=True, blank=True)
    text = models.CharField(max_length=1000, blank=True)
    photo = models.CharField(max_length=LONGEST_NAME, blank=True, editable=False)
    on = models.DateField()
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(text="") | ~Q(photo=""),
                name="note_says_something",
                violation_error_message="Write a few words, or choose a photo.",
            )
        ]

    def __str__(self) -> str:
        return self.text[:60] or f"Photo of {self.batch}"

    @property
    def about(self) -> str:
        """What of the batch it is about, in words."""
        if self.portion_letter:
            return f"Jug {self.portion_letter}"
        if self.deviation_id is not None:
            return "What went otherwise"
        return "" if self.week is None else f"Week {self.week} on the rack"
