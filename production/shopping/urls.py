from django.urls import path

from production.shopping import views

urlpatterns = [
    path("stores/shopping/", views.shopping, name="shopping"),
    path("stores/suppliers/<int:pk>/packs/", views.offers, name="offers"),
    path("stores/suppliers/<int:pk>/packs/<int:offer_pk>/remove/", views.offer_remove, name="offer-remove"),
]
