from django.urls import path

from orders.papers import views

urlpatterns = [
    path("orders/<slug:number>/papers/", views.paper_issue, name="paper-issue"),
    path("papers/<slug:number>.pdf", views.paper, name="paper"),
]
