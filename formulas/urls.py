from django.urls import path

from formulas.views import revisions

app_name = "formulas"
urlpatterns = [
    path("formulas/", revisions.formula_list, name="formula-list"),
    path("formulas/new/", revisions.formula_new, name="formula-new"),
    path("formulas/<int:pk>/", revisions.formula, name="formula"),
    path("formulas/<int:pk>/revise/", revisions.formula_revise, name="formula-revise"),
    path("formulas/<int:pk>/<int:number>/", revisions.revision, name="revision"),
    path("formulas/<int:pk>/<int:number>/edit/", revisions.revision_edit, name="revision-edit"),
    path("formulas/<int:pk>/<int:number>/approve/", revisions.revision_approve, name="revision-approve"),
    path("formulas/<int:pk>/<int:number>/retire/", revisions.revision_retire, name="revision-retire"),
    path("formulas/<int:pk>/<int:number>/against/<int:other>/", revisions.revision_compare, name="revision-compare"),
]
