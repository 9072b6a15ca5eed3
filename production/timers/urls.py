from django.urls import path

from production.timers import views

urlpatterns = [
    path("bench/<slug:number>/timers/", views.timer_start, name="timer-start"),
    path("bench/<slug:number>/timers/<int:pk>/stop/", views.timer_stop, name="timer-stop"),
]
