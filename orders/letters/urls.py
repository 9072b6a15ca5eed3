from django.urls import path

from orders.letters import views

urlpatterns = [
    path("orders/<slug:number>/letter/", views.letter, name="letter"),
]
