from django.urls import path

from orders.agreement.urls import urlpatterns as agreement_urls
from orders.customer_page.urls import urlpatterns as customer_page_urls
from orders.interchange.urls import urlpatterns as interchange_urls
from orders.letters.urls import urlpatterns as letter_urls
from orders.money.urls import urlpatterns as money_urls
from orders.papers.urls import urlpatterns as paper_urls
from orders.views import customers, lines, orders

app_name = "orders"
urlpatterns = [
    *agreement_urls,
    *customer_page_urls,
    *interchange_urls,
    *letter_urls,
    *money_urls,
    *paper_urls,
    path("orders/", orders.order_list, name="order-list"),
    path("orders/new/", orders.order_new, name="order-new"),
    path("orders/<slug:number>/", orders.order, name="order"),
    path("orders/<slug:number>/making/", orders.order_making, name="order-making"),
    path("orders/<slug:number>/edit/", orders.order_edit, name="order-edit"),
    path("orders/<slug:number>/move/", orders.order_move, name="order-move"),
    path("orders/<slug:number>/cancel/", orders.order_cancel, name="order-cancel"),
    path("orders/<slug:number>/promise/", orders.order_promise, name="order-promise"),
    path("orders/<slug:number>/lines/add/", lines.line_choose, name="line-choose"),
    path("orders/<slug:number>/lines/add/<int:design>/", lines.line_add, name="line-add"),
    path("orders/<slug:number>/lines/<int:pk>/", lines.line_edit, name="line-edit"),
    path("orders/<slug:number>/lines/<int:pk>/picture.svg", orders.line_picture, name="line-picture"),
    path("orders/<slug:number>/lines/<int:pk>/remove/", lines.line_remove, name="line-remove"),
    path("customers/", customers.customer_list, name="customer-list"),
    path("customers/new/", customers.customer_new, name="customer-new"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("customers/<int:pk>/edit/", customers.customer_edit, name="customer-edit"),
]
