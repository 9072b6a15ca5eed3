from django.urls import path

from orders.customer_page import views

urlpatterns = [
    path("agreed/<slug:key>/", views.order_for_customer, name="customer-page"),
]
