from django.urls import path

from orders.agreement import views

urlpatterns = [
    path("orders/<slug:number>/agreed/", views.agreement, name="agreement"),
    path("orders/<slug:number>/agreed/make/", views.proof_make, name="proof-make"),
    path("orders/<slug:number>/agreed/<int:version>/approve/", views.proof_approve, name="proof-approve"),
    path("orders/<slug:number>/agreed/link/", views.link_open, name="link-open"),
    path("orders/<slug:number>/agreed/link/close/", views.link_close, name="link-close"),
    path("orders/<slug:number>/repeat/", views.order_repeat, name="order-repeat"),
]
