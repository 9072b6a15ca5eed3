from django.urls import path

from production.scales import views

urlpatterns = [
    path("stores/scales/", views.scale_list, name="scale-list"),
    path("stores/scales/new/", views.scale_new, name="scale-new"),
    path("stores/scales/<int:pk>/", views.scale, name="scale"),
    path("stores/scales/<int:pk>/check/", views.scale_check, name="scale-check"),
    path("stores/scales/<int:pk>/unchecked/", views.scale_waive, name="scale-waive"),
    path("stores/scales/<int:pk>/figures/", views.scale_figures, name="scale-figures"),
    path("stores/scales/<int:pk>/retire/", views.scale_retire, name="scale-retire"),
]
