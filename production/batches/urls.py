from django.urls import path

from production.batches.views import bench, course, jugs, otherwise, papers, planning

urlpatterns = [
    path("plan/", planning.plan, name="plan"),
    path("plan/orders/<slug:number>/", planning.order_plan, name="order-plan"),
    path("plan/orders/<slug:number>/cancel/", planning.order_cancel, name="order-cancel"),
    path("bench/", bench.bench, name="bench"),
    path("bench/<slug:number>/", bench.batch, name="batch"),
    path("bench/<slug:number>/jugs/", jugs.batch_jugs, name="batch-jugs"),
    path("bench/<slug:number>/ticket.pdf", papers.batch_ticket, name="batch-ticket"),
    path("bench/<slug:number>/start/", bench.batch_start, name="batch-start"),
    path("bench/<slug:number>/weigh/<int:pk>/", bench.batch_weigh, name="batch-weigh"),
    path("bench/<slug:number>/weigh/<int:pk>/undo/", bench.batch_undo, name="batch-undo"),
    path("bench/<slug:number>/weigh/<int:pk>/leave-out/", bench.batch_leave_out, name="batch-leave-out"),
    path("bench/<slug:number>/extra/", bench.batch_extra, name="batch-extra"),
    path("bench/<slug:number>/otherwise/", otherwise.batch_otherwise, name="batch-otherwise"),
    path("bench/<slug:number>/pour/", course.batch_pour, name="batch-pour"),
    path("bench/<slug:number>/cut/", course.batch_cut, name="batch-cut"),
    path("bench/<slug:number>/hold/", course.batch_hold, name="batch-hold"),
    path("bench/<slug:number>/clear/", course.batch_clear, name="batch-clear"),
    path("bench/<slug:number>/cancel/", course.batch_cancel, name="batch-cancel"),
    path("bench/<slug:number>/deviations/<int:pk>/", course.deviation_decide, name="deviation-decide"),
    path("bench/<slug:number>/steps/<int:pk>/", course.step_tick, name="step-tick"),
]
