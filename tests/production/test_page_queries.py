"""Pages of one thing take a fixed number of queries, however many rows it has."""

from production.batches.models import Weighing
from tests.production.builders import started_batch, weigh


def test_one_batch_asks_the_same_for_one_weighed_line_and_for_three(owner_client, owner, django_assert_max_num_queries):
    batch, lots = started_batch(owner)
    lines = list(Weighing.objects.filter(batch=batch).order_by("position"))
    used = []
    for few in (lines[:1], lines[1:3]):
        for line in few:
            weigh(line, lots, owner)
        with django_assert_max_num_queries(12) as captured:
            response = owner_client.get(batch.get_absolute_url())
        assert response.status_code == 200
        used.append(len(captured.captured_queries))
    assert used[0] == used[1]
