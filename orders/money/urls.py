from django.urls import path

from orders.money import views
from orders.money.price_list import price_list

urlpatterns = [
    path("money/", views.money, name="money"),
    path("money/terms/", views.house_terms, name="house-terms"),
    path("money/price-list/", price_list, name="price-list"),
    path("money/rates/new/", views.tax_rate, name="tax-rate-new"),
    path("money/rates/<int:pk>/", views.tax_rate, name="tax-rate"),
    path("orders/<slug:number>/money/", views.order_account, name="order-money"),
    path("orders/<slug:number>/money/payment/", views.payment_add, name="payment-add"),
    path("orders/<slug:number>/money/charges/", views.charges_edit, name="charges-edit"),
    path("orders/<slug:number>/money/settle/", views.cancellation_settle, name="cancellation-settle"),
]
