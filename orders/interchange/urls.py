from django.urls import path

from orders.interchange import views

urlpatterns = [
    path("money/files/", views.in_and_out, name="in-and-out"),
    path("money/files/orders.csv", views.order_book, name="order-book"),
    path("money/files/calendar/", views.calendar_renew, name="calendar-renew"),
    path("calendar/<slug:key>.ics", views.calendar_feed, name="calendar-feed"),
]
