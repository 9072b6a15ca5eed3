from django.urls import path

from formulas.views import designs, materials, molds, parts, revisions

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
    path("materials/", materials.material_list, name="material-list"),
    path("materials/new/", materials.material_new, name="material-new"),
    path("materials/<int:pk>/", materials.material, name="material"),
    path("materials/<int:pk>/edit/", materials.material_edit, name="material-edit"),
    path("materials/<int:pk>/allergens/", materials.material_allergens, name="material-allergens"),
    path("materials/<int:pk>/confirm-names/", materials.material_confirm_names, name="material-confirm-names"),
    path("molds/", molds.mold_list, name="mold-list"),
    path("molds/new/", molds.mold_new, name="mold-new"),
    path("molds/<int:pk>/", molds.mold, name="mold"),
    path("molds/<int:pk>/edit/", molds.mold_edit, name="mold-edit"),
    path("parts/", parts.part_list, name="part-list"),
    path("parts/new/", parts.part_new, name="part-new"),
    path("parts/<int:pk>/", parts.part, name="part"),
    path("parts/<int:pk>/edit/", parts.part_edit, name="part-edit"),
    path("designs/", designs.design_list, name="design-list"),
    path("designs/new/", designs.design_new, name="design-new"),
    path("designs/<int:pk>/", designs.design, name="design"),
    path("designs/<int:pk>/edit/", designs.design_edit, name="design-edit"),
    path("designs/<int:pk>/route/", designs.design_route, name="design-route"),
    path("designs/<int:pk>/route/usual/", designs.design_route_usual, name="design-route-usual"),
]
