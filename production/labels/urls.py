"""Addresses of the label pages."""

from django.urls import path

from production.labels import views

urlpatterns = [
    path("labels/", views.label_list, name="label-list"),
    path("labels/<str:number>/", views.batch_label_page, name="batch-labels"),
    path("labels/<str:number>/working/", views.label_working, name="label-working"),
    path("labels/<str:number>/ingredients.pdf", views.declaration_pdf, name="label-declaration"),
    path("labels/<str:number>/prints/<int:pk>.pdf", views.label_print, name="label-print"),
]
