from django.urls import path

from production.trouble import views

urlpatterns = [
    path("plan/orders/<slug:number>/choices/", views.order_trouble, name="order-trouble"),
]
