from django.urls.resolvers import URLPattern, URLResolver

app_name = "orders"
urlpatterns: list[URLPattern | URLResolver] = []
