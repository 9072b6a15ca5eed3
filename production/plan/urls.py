from django.urls import path

from production.plan.views import calendar

urlpatterns = [
    path("plan/calendar/", calendar.work_calendar, name="work-calendar"),
    path("plan/calendar/away/<int:pk>/remove/", calendar.time_away_remove, name="time-away-remove"),
    path("plan/calendar/days/<int:pk>/remove/", calendar.special_day_remove, name="special-day-remove"),
]
