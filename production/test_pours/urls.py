from django.urls import path

from production.test_pours import views

urlpatterns = [
    path("designs/<int:design_id>/test-pour/", views.test_pour_new, name="test-pour-new"),
    path("bench/tests/<slug:number>/", views.test_pour, name="test-pour"),
]
