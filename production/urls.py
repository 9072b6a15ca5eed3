from django.urls.resolvers import URLPattern, URLResolver

app_name = "production"
urlpatterns: list[URLPattern | URLResolver] = []
