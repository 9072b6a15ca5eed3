"""What an owner may look up behind the pages. Nothing is changed here: the verbs of the pages do that."""

from typing import Any

from django.contrib import admin
from django.db import models
from django.http import HttpRequest

from formulas.models import Allergen, ColorBlend, Design, Formula, FormulaLine, FormulaRevision, Material, Mold, Part


class LookOnly(admin.ModelAdmin):
    """A list to search and read. Every change goes through the pages, so that it is judged and written down."""

    def has_add_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False


class LineInline(admin.TabularInline):
    model = FormulaLine
    extra = 0
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(FormulaRevision)
class RevisionAdmin(LookOnly):
    list_display = ("formula", "number", "status", "approved_by", "approved_at")
    list_filter = ("status",)
    search_fields = ("formula__name",)
    list_select_related = ("formula", "approved_by")
    inlines = (LineInline,)


@admin.register(Formula, Design, Mold, Part, ColorBlend)
class BookAdmin(LookOnly):
    search_fields = ("name",)


@admin.register(Material)
class MaterialAdmin(LookOnly):
    list_display = ("name", "kind", "source_status", "has_confirmed_names")
    list_filter = ("kind", "has_confirmed_names", "is_shelved")
    search_fields = ("name", "label_name_us", "label_name_eu")


@admin.register(Allergen)
class AllergenAdmin(LookOnly):
    list_display = ("name", "entry", "is_prohibited")
    search_fields = ("name", "cas_numbers")
