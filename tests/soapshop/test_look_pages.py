"""The frame of every page, the door, the pages that say something went wrong, and the specimen."""

import re
from collections import Counter
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import AnonymousUser
from django.template.loader import get_template, render_to_string
from django.test import RequestFactory

from soapshop.specimen import specimen_page

ERROR_PAGES = ("400.html", "403.html", "403_csrf.html", "404.html", "500.html")
SYSTEM_WORDS = re.compile(
    r"\b(server|exception|traceback|invalid|null|record|instance|object|CSRF|HTTP|[45]\d\d)\b", re.I
)


@pytest.fixture
def specimen_html() -> str:
    return render_to_string("soapshop/specimen.html", {**specimen_page(), "workshop": SimpleNamespace(name="Shop")})


@pytest.mark.parametrize("name", ERROR_PAGES)
def test_error_page_needs_nothing_but_itself(name):
    # Django renders some of these without a request, a database or a person.
    html = get_template(name).render()
    main = re.sub(r"<[^>]*>", " ", html[html.index("<main") :])
    assert html.count("<h1>") == 1
    assert SYSTEM_WORDS.findall(main) == []
    assert 'class="button next"' in html


def test_title_is_said_in_the_head_and_as_the_one_heading(specimen_html):
    assert "<title>Specimen · Shop</title>" in specimen_html
    assert re.findall(r"<h1>(.*?)</h1>", specimen_html) == ["Specimen"]
    assert '<p class="lead">Two batches to cut today; order 1042 is at risk.</p>' in specimen_html


def test_every_id_is_there_once(specimen_html):
    ids = Counter(re.findall(r'\sid="([^"]+)"', specimen_html))
    assert [name for name, count in ids.items() if count > 1] == []


def test_every_label_and_description_points_to_something(specimen_html):
    ids = set(re.findall(r'\sid="([^"]+)"', specimen_html))
    pointed = set(re.findall(r'\sfor="([^"]+)"', specimen_html))
    for names in re.findall(r'\saria-(?:describedby|labelledby)="([^"]+)"', specimen_html):
        pointed.update(names.split())
    assert pointed - ids == set()


def test_every_phone_row_names_its_cells(specimen_html):
    flowing = re.findall(r'<table class="ledger flows">(.*?)</table>', specimen_html, re.S)
    cells = [cell for table in flowing for cell in re.findall(r"<td[^>]*>(?!</td>)", table)]
    assert [cell for cell in cells if "data-label=" not in cell] == []
    assert len(cells) > 4


def page_for(user, **context) -> str:
    request = RequestFactory().get("/")
    request.user = user
    request.workshop = SimpleNamespace(name="Quarry Lane Soapworks")
    return render_to_string("404.html", context, request=request)


def test_a_signed_in_person_finds_the_way_and_the_door():
    person = SimpleNamespace(is_authenticated=True, display_name="Ines")
    html = page_for(person)
    assert '<nav class="way"' in html
    assert re.search(r'<form class="person" action="[^"]+" method="post">', html)
    assert "Ines" in html


def test_a_stranger_sees_no_way():
    html = page_for(AnonymousUser())
    assert '<nav class="way"' not in html
    assert 'class="person"' not in html


def test_the_place_one_is_at_is_marked():
    here = SimpleNamespace(name="Orders", url="/orders/", is_here=True)
    there = SimpleNamespace(name="Plan", url="/plan/", is_here=False)
    person = SimpleNamespace(is_authenticated=True, display_name="Ines")
    html = render_to_string("soapshop/components/masthead.html", {"user": person, "navigation_work": [here, there]})
    assert re.findall(r'<a href="([^"]+)" aria-current="page">', html) == ["/orders/"]


def test_the_door_asks_for_name_and_password(client, workshop, owner):
    html = client.get("/sign-in/").content.decode()
    assert html.count("<h1>") == 1
    assert '<label for="id_username">' in html
    assert '<label for="id_password">' in html
    assert "Quarry Lane Soapworks" in html


def test_stages_say_where_the_order_stands():
    stages = ({"name": "Quoted", "is_done": True}, {"name": "Accepted", "is_here": True}, {"name": "Ready"})
    html = render_to_string("soapshop/components/stages.html", {"stages": stages, "label": "Progress"})
    assert re.findall(r"<li([^>]*)>", html) == [' class="is-done"', ' class="is-here" aria-current="step"', ""]


def test_findings_take_the_shape_of_their_level():
    findings = [{"level": level, "text": level, "mend": "Mend."} for level in ("stop", "ask", "note")]
    html = render_to_string("soapshop/components/findings.html", {"findings": findings})
    assert re.findall(r'class="(refusal|ask|note)"', html) == ["refusal", "ask", "note"]
