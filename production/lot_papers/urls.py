from django.urls import path

from production.lot_papers import views

urlpatterns = [
    path("stores/lots/<slug:code>/papers/", views.lot_papers, name="lot-papers"),
    path("stores/lots/<slug:code>/papers/<int:pk>/", views.lot_paper, name="lot-paper"),
    path("stores/lots/<slug:code>/papers/<int:pk>/remove/", views.lot_paper_remove, name="lot-paper-remove"),
]
