from django.urls.resolvers import URLPattern, URLResolver

app_name = "formulas"
urlpatterns: list[URLPattern | URLResolver] = []
