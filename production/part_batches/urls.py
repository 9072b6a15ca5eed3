from django.urls import path

from production.part_batches import views

urlpatterns = [
    path("parts/<int:part_id>/make/", views.part_batch_new, name="part-batch-new"),
    path("bench/parts/<slug:number>/", views.part_batch, name="part-batch"),
    path("bench/parts/<slug:number>/ticket.pdf", views.part_batch_ticket, name="part-batch-ticket"),
    path("bench/parts/<slug:number>/pour/", views.part_batch_pour, name="part-batch-pour"),
    path("bench/parts/<slug:number>/shelve/", views.part_batch_shelve, name="part-batch-shelve"),
    path("bench/parts/<slug:number>/give-up/", views.part_batch_give_up, name="part-batch-give-up"),
]
