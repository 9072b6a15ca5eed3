from django.urls import path

from production.costing import views
from production.costing.freight import freight_share

urlpatterns = [
    path("money/freight/", freight_share, name="freight-share"),
    path("money/orders/<slug:number>/cost/", views.order_costs, name="order-cost"),
]
