from django.urls import path

from production.costing import views

urlpatterns = [
    path("money/orders/<slug:number>/cost/", views.order_costs, name="order-cost"),
]
