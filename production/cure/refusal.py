"""Why bars cannot be weighed, judged, moved or packed as asked."""

from production.batches.asked import BatchRefusal


class CureRefusal(BatchRefusal):
    """The rack or the packing table says no; the message says why and the mend."""
