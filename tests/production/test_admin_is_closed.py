"""Rule G12: nothing with a stage, a balance or a signature can be changed past the verbs of the pages, in the admin
neither.
"""

import pytest
from django.apps import apps
from django.contrib import admin
from django.test import RequestFactory
from django.urls import NoReverseMatch, reverse

from formulas.models import FormulaRevision
from soapshop.models import User

OURS = [
    model for app in ("soapshop", "formulas", "orders", "production") for model in apps.get_app_config(app).get_models()
]
SHOWN = [model for model in OURS if admin.site.is_registered(model)]
HIDDEN = [model for model in OURS if not admin.site.is_registered(model)]


@pytest.fixture
def root(db):
    return User.objects.create_superuser("root", password="lavender-and-clay", role=User.Role.OWNER)


@pytest.mark.parametrize("model", SHOWN, ids=lambda model: model.__name__)
def test_what_the_admin_shows_it_only_shows(root, model):
    request = RequestFactory().get("/admin/")
    request.user = root
    desk = admin.site.get_model_admin(model)
    may = (desk.has_add_permission(request), desk.has_change_permission(request), desk.has_delete_permission(request))
    assert may == (False, False, False)


@pytest.mark.parametrize("model", HIDDEN, ids=lambda model: model.__name__)
def test_what_it_does_not_show_has_no_address_there(model):
    with pytest.raises(NoReverseMatch):
        reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_change", args=[1])


def test_stages_and_balances_are_among_what_is_held_shut():
    named = {model.__name__ for model in OURS}
    assert {"Batch", "Weighing", "Lot", "StockMove", "BarMove", "Release", "Order", "PartLot", "Deviation"} <= named
    assert {"Batch", "Lot", "BarMove", "Order"} <= {model.__name__ for model in HIDDEN}


def test_a_direct_post_to_the_admin_changes_nothing(root, client):
    revision = reverse("admin:formulas_formularevision_add")
    client.force_login(root)
    assert client.post(revision, {"number": 1, "status": "approved"}).status_code == 403
    assert not FormulaRevision.objects.exists()
