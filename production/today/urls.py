from django.urls import path

from production.today import views

urlpatterns = [
    path("", views.today, name="today"),
]
