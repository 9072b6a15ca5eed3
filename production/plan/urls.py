from django.urls import path

from production.plan.views import board, calendar, moves, promise

urlpatterns = [
    path("plan/board/", board.plan_board, name="plan-board"),
    path("plan/week/", board.plan_week, name="plan-week"),
    path("plan/board/propose/", board.plan_propose, name="plan-propose"),
    path("plan/board/<int:pk>/progress/", board.plan_progress, name="plan-progress"),
    path("plan/board/<int:pk>/stop/", board.plan_stop, name="plan-stop"),
    path("plan/board/<int:pk>/accept/", board.plan_accept, name="plan-accept"),
    path("plan/board/batches/<slug:number>/keep/", board.batch_pin, name="batch-pin"),
    path("plan/board/batches/<slug:number>/move/", moves.batch_move, name="batch-move"),
    path("plan/board/batches/<slug:number>/move/save/", moves.batch_move_save, name="batch-move-save"),
    path("plan/orders/<slug:number>/weight/", moves.order_weight, name="order-weight"),
    path("plan/promise/", promise.promise, name="promise"),
    path("plan/promise/hold/", promise.promise_hold, name="promise-hold"),
    path("plan/promise/<int:pk>/release/", promise.promise_release, name="promise-release"),
    path("plan/calendar/", calendar.work_calendar, name="work-calendar"),
    path("plan/calendar/away/<int:pk>/remove/", calendar.time_away_remove, name="time-away-remove"),
    path("plan/calendar/days/<int:pk>/remove/", calendar.special_day_remove, name="special-day-remove"),
]
