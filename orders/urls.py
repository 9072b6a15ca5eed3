from django.urls import path

from orders import views

app_name = "orders"
urlpatterns = [
    path("orders/", views.order_list, name="order-list"),
    path("orders/new/", views.order_new, name="order-new"),
    path("orders/<slug:number>/", views.order, name="order"),
    path("orders/<slug:number>/edit/", views.order_edit, name="order-edit"),
    path("orders/<slug:number>/move/", views.order_move, name="order-move"),
    path("orders/<slug:number>/promise/", views.order_promise, name="order-promise"),
    path("orders/<slug:number>/lines/add/", views.line_choose, name="line-choose"),
    path("orders/<slug:number>/lines/add/<int:design>/", views.line_add, name="line-add"),
    path("orders/<slug:number>/lines/<int:pk>/", views.line_edit, name="line-edit"),
    path("orders/<slug:number>/lines/<int:pk>/remove/", views.line_remove, name="line-remove"),
    path("customers/", views.customer_list, name="customer-list"),
    path("customers/new/", views.customer_new, name="customer-new"),
    path("customers/<int:pk>/", views.customer, name="customer"),
    path("customers/<int:pk>/edit/", views.customer_edit, name="customer-edit"),
]
