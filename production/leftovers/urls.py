from django.urls import path

from production.leftovers import views

urlpatterns = [
    path("stores/own-soap/", views.own_soap, name="own-soap"),
    path("stores/own-soap/rebatch/", views.rebatch_new, name="rebatch-new"),
    path("bench/<slug:number>/scraps/", views.scraps_new, name="scraps-new"),
    path("bench/<slug:number>/make-over/", views.batch_rework, name="batch-rework"),
    path("bench/<slug:number>/pour-on/", views.fill_mold, name="fill-mold"),
]
