"""Addresses of the label pages."""

from django.urls import path

from production.labels import after_views, house_views, lot_views, stock_views, views

urlpatterns = [
    path("labels/", views.label_list, name="label-list"),
    path("labels/stock/", stock_views.stock_list, name="label-stocks"),
    path("labels/stock/new/", stock_views.stock_edit, name="label-stock-new"),
    path("labels/stock/<int:pk>/", stock_views.stock_edit, name="label-stock"),
    path("labels/printers/<int:pk>/", stock_views.printer, name="label-printer"),
    path("labels/printers/<int:pk>/<slug:code>.pdf", stock_views.printer_sheet, name="label-printer-sheet"),
    path("labels/house/", house_views.label_house, name="label-house"),
    path("labels/house/logo/", house_views.logo, name="label-house-logo"),
    path("labels/house/logo.jpg", house_views.logo_picture, name="label-logo"),
    path("labels/<str:number>/", views.batch_label_page, name="batch-labels"),
    path("labels/<str:number>/working/", views.label_working, name="label-working"),
    path("labels/<str:number>/net-weight/", lot_views.net_weight, name="net-weight"),
    path("labels/<str:number>/net-weight/<int:pk>/aside/", lot_views.set_aside, name="net-weight-aside"),
    path("labels/<str:number>/ingredients.pdf", views.declaration_pdf, name="label-declaration"),
    path("labels/<str:number>/papers/<slug:kind>.pdf", views.batch_paper_page, name="label-paper"),
    path("labels/<str:number>/reports/", house_views.assessment, name="label-reports"),
    path("labels/<str:number>/answers/", after_views.answer, name="label-answer"),
    path("labels/<str:number>/prints/<int:pk>/count/", after_views.count, name="label-count"),
    path("labels/<str:number>/prints/<int:pk>.pdf", views.label_print, name="label-print"),
]
