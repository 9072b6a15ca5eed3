"""All addresses of the app. Each station of the work keeps its own list."""

from production.batches.urls import urlpatterns as batch_urls

app_name = "production"
urlpatterns = [
    *batch_urls,
]
