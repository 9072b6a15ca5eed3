from decimal import Decimal

from django.forms import model_to_dict

from soapshop.actions import change_workshop
from soapshop.forms import WorkshopForm
from soapshop.models import AuditEvent, Workshop


def typed(shop: Workshop, **changes):
    """Return what the page would send for this workshop, with some boxes changed."""
    boxes = {name: value for name, value in model_to_dict(shop).items() if name != "id" and value is not False}
    return {**boxes, **changes}


def test_settings_are_saved_and_noted(owner, owner_client, workshop):
    response = owner_client.post("/settings/", typed(workshop, cure_days="56", paper_size="a4"))
    assert response.status_code == 302
    shop = Workshop.current()
    assert (shop.cure_days, shop.paper_size) == (56, "a4")
    event = AuditEvent.objects.get()
    assert (event.by, event.before, event.after) == (
        owner,
        {"cure_days": 42, "paper_size": "letter"},
        {"cure_days": 56, "paper_size": "a4"},
    )


def test_saving_without_a_change_leaves_no_trace(owner_client, workshop):
    assert owner_client.post("/settings/", typed(workshop)).status_code == 302
    assert not AuditEvent.objects.exists()


def test_wrong_input_is_refused_and_kept(owner_client, workshop):
    response = owner_client.post("/settings/", typed(workshop, name="New name", least_cure_days="50"))
    assert response.status_code == 422
    page = response.content.decode()
    assert "The least cure cannot be longer than the usual cure." in page
    assert "New name" in page
    assert Workshop.current().name == "Quarry Lane Soapworks"


def test_form_refuses_a_step_of_nothing_and_absurd_percents(workshop):
    form = WorkshopForm(
        typed(workshop, lye_scale_step_grams="0", bar_spare_percent="101", time_zone="Mars/Base", currency="XYZ"),
        instance=workshop,
    )
    assert sorted(form.errors) == ["bar_spare_percent", "currency", "lye_scale_step_grams", "time_zone"]


def test_a_maker_cannot_change_the_settings(maker_client, workshop):
    assert maker_client.get("/settings/").status_code == 403
    assert maker_client.post("/settings/", typed(workshop, name="Mine")).status_code == 403
    assert Workshop.current().name == "Quarry Lane Soapworks"


def test_every_setting_stands_on_the_page():
    # What is not editable there has a page of its own: the logo stands with what is on every label.
    assert set(WorkshopForm().fields) == {field.name for field in Workshop._meta.fields if field.editable} - {"id"}


def test_change_workshop_writes_only_what_differs(owner, workshop):
    Workshop.objects.update(city_line="changed by somebody else")
    change_workshop(wanted={"bar_spare_percent": Decimal(12)}, by=owner)
    shop = Workshop.current()
    assert (shop.bar_spare_percent, shop.city_line) == (Decimal(12), "changed by somebody else")


def test_a_figure_is_typed_into_a_plain_box_and_kept_when_it_is_none(owner_client, workshop):
    response = owner_client.post("/settings/", typed(workshop, cure_days="six weeks", lye_scale_step_grams="fine"))
    page = response.content.decode()
    assert response.status_code == 422
    assert 'type="number"' not in page
    assert ('value="six weeks"' in page, 'value="fine"' in page) == (True, True)
    assert dict(response.context["form"].errors) == {
        "cure_days": ["Type a whole number, such as 12."],
        "lye_scale_step_grams": ["Type a number, such as 12.5."],
    }


def test_the_unit_stands_beside_the_box_and_not_in_its_label():
    fields = WorkshopForm().fields
    shown = {name: (field.label, field.widget.attrs.get("data-unit")) for name, field in fields.items()}
    assert shown["lye_scale_step_grams"] == ("Lye scale step", "g")
    assert shown["bar_spare_percent"] == ("Bar spare", "%")
    assert shown["cure_days"] == ("Cure days", None)
    assert shown["name"] == ("Workshop name", None)
