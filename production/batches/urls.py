from django.urls import path

from production.batches.views import bench, papers, planning

urlpatterns = [
    path("plan/", planning.plan, name="plan"),
    path("plan/orders/<slug:number>/", planning.order_plan, name="order-plan"),
    path("bench/", bench.bench, name="bench"),
    path("bench/<slug:number>/", bench.batch, name="batch"),
    path("bench/<slug:number>/ticket.pdf", papers.batch_ticket, name="batch-ticket"),
    path("bench/<slug:number>/start/", bench.batch_start, name="batch-start"),
    path("bench/<slug:number>/weigh/<int:pk>/", bench.batch_weigh, name="batch-weigh"),
    path("bench/<slug:number>/weigh/<int:pk>/undo/", bench.batch_undo, name="batch-undo"),
    path("bench/<slug:number>/weigh/<int:pk>/leave-out/", bench.batch_leave_out, name="batch-leave-out"),
    path("bench/<slug:number>/extra/", bench.batch_extra, name="batch-extra"),
    path("bench/<slug:number>/pour/", bench.batch_pour, name="batch-pour"),
    path("bench/<slug:number>/cut/", bench.batch_cut, name="batch-cut"),
    path("bench/<slug:number>/hold/", bench.batch_hold, name="batch-hold"),
    path("bench/<slug:number>/clear/", bench.batch_clear, name="batch-clear"),
    path("bench/<slug:number>/cancel/", bench.batch_cancel, name="batch-cancel"),
    path("bench/<slug:number>/deviations/<int:pk>/", bench.deviation_decide, name="deviation-decide"),
    path("bench/<slug:number>/steps/<int:pk>/", bench.step_tick, name="step-tick"),
]
