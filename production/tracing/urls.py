from django.urls import path

from production.tracing import views

urlpatterns = [
    path("trace/", views.trace, name="trace"),
    path("trace/file.json", views.trace_file, name="trace-file"),
    path("trace/paper.pdf", views.trace_pdf, name="trace-paper"),
    path("trace/drills/new/", views.drill_new, name="drill-new"),
    path("trace/recalls/new/", views.recall_new, name="recall-new"),
    path("trace/recalls/<slug:number>/", views.recall, name="recall"),
    path("trace/recalls/<slug:number>/hold/", views.recall_hold, name="recall-hold"),
    path("trace/recalls/<slug:number>/told/", views.recall_contact, name="recall-contact"),
    path("trace/recalls/<slug:number>/finish/", views.recall_finish, name="recall-finish"),
    path("trace/recalls/<slug:number>/record.pdf", views.recall_pdf, name="recall-paper"),
]
