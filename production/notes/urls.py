from django.urls import path

from production.notes import views

urlpatterns = [
    path("bench/notes/", views.look, name="note-search"),
    path("bench/<slug:number>/notes/", views.batch_notes, name="batch-notes"),
    path("bench/<slug:number>/notes/<int:pk>/photo/", views.note_photo, name="note-photo"),
]
