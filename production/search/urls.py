"""The address of the search. It has no namespace: the masthead of every page names it."""

from django.urls import path

from production.search import views

urlpatterns = [path("", views.results, name="search")]
