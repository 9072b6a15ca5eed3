"""All addresses of the app. Each station of the work keeps its own list."""

from production.batches.urls import urlpatterns as batch_urls
from production.costing.urls import urlpatterns as costing_urls
from production.cure.urls import urlpatterns as cure_urls
from production.labels.urls import urlpatterns as label_urls
from production.leftovers.urls import urlpatterns as leftover_urls
from production.lot_papers.urls import urlpatterns as lot_paper_urls
from production.notes.urls import urlpatterns as note_urls
from production.part_batches.urls import urlpatterns as part_batch_urls
from production.plan.urls import urlpatterns as plan_urls
from production.scales.urls import urlpatterns as scale_urls
from production.shopping.urls import urlpatterns as shopping_urls
from production.stock.urls import urlpatterns as stock_urls
from production.test_pours.urls import urlpatterns as test_pour_urls
from production.timers.urls import urlpatterns as timer_urls
from production.today.urls import urlpatterns as today_urls
from production.tracing.urls import urlpatterns as tracing_urls
from production.trouble.urls import urlpatterns as trouble_urls

app_name = "production"
urlpatterns = [
    *note_urls,
    *lot_paper_urls,
    *shopping_urls,
    *part_batch_urls,
    *leftover_urls,
    *batch_urls,
    *costing_urls,
    *cure_urls,
    *label_urls,
    *plan_urls,
    *scale_urls,
    *stock_urls,
    *test_pour_urls,
    *timer_urls,
    *today_urls,
    *tracing_urls,
    *trouble_urls,
]
