"""Sign-in, the first owner's account, and what stands before every page."""

import pytest
from django.core.cache import cache
from django.test import Client

from soapshop.actions import HasOwner, create_first_owner
from soapshop.models import AuditEvent, User, Workshop
from soapshop.throttle import WRONG_TRIES
from tests.conftest import PASSWORD

FIRST_OWNER = {
    "workshop_name": "Heron Reach Soap",
    "time_zone": "America/Chicago",
    "first_name": "Maud",
    "username": "maud",
    "password1": PASSWORD,
    "password2": PASSWORD,
}


@pytest.fixture(autouse=True)
def _forget_tries():
    cache.clear()


def test_up_answers_without_a_database():
    # No database is allowed in this test: asking for one would fail it.
    response = Client().get("/up")
    assert (response.status_code, response.content) == (200, b"up")


def test_pages_carry_a_strict_policy():
    response = Client().get("/up")
    assert response["Content-Security-Policy"] == (
        "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
        "frame-ancestors 'none'; form-action 'self'"
    )
    assert response["X-Frame-Options"] == "DENY"
    assert response["Referrer-Policy"] == "same-origin"


def test_a_shop_without_an_account_leads_to_the_first_owners_page(db):
    response = Client().get("/settings/")
    assert (response.status_code, response["Location"]) == (302, "/first-owner/")


def test_a_shop_with_an_account_asks_for_a_sign_in(owner):
    response = Client().get("/settings/")
    assert (response.status_code, response["Location"]) == (302, "/sign-in/?next=/settings/")


def test_the_first_owner_opens_the_shop_and_is_signed_in(db):
    client = Client()
    assert client.get("/first-owner/").status_code == 200
    response = client.post("/first-owner/", FIRST_OWNER)
    assert (response.status_code, response["Location"]) == (302, "/settings/")
    owner = User.objects.get()
    assert (owner.username, owner.is_owner, owner.is_superuser) == ("maud", True, False)
    assert (Workshop.current().name, Workshop.current().time_zone) == ("Heron Reach Soap", "America/Chicago")
    assert AuditEvent.objects.get().verb == "create_first_owner"
    assert client.get("/settings/").status_code == 200


def test_the_first_owners_page_is_gone_once_there_is_an_account(owner):
    response = Client().post("/first-owner/", FIRST_OWNER)
    assert (response.status_code, response["Location"]) == (302, "/sign-in/")
    assert User.objects.count() == 1


def test_a_weak_password_is_refused_and_what_was_typed_is_kept(db):
    response = Client().post("/first-owner/", {**FIRST_OWNER, "password1": "soap", "password2": "soap"})
    assert response.status_code == 422
    assert "Heron Reach Soap" in response.content.decode()
    assert not User.objects.exists()


def test_the_second_of_two_first_owners_is_refused(owner):
    with pytest.raises(HasOwner):
        create_first_owner(username="x", password=PASSWORD, first_name="X", workshop_name="X", time_zone="UTC")


def try_to_sign_in(password: str, *, address: str = "192.0.2.1", username: str = "owner"):
    return Client(REMOTE_ADDR=address).post("/sign-in/", {"username": username, "password": password})


def test_guessing_is_stopped_even_with_the_right_password(owner, workshop):
    for _ in range(WRONG_TRIES):
        assert try_to_sign_in("wrong").status_code == 200
    response = try_to_sign_in(PASSWORD)
    assert response.status_code == 200
    assert "Too many wrong passwords for this name" in response.content.decode()


def test_guessing_stops_neither_another_place_nor_another_name(owner, maker, workshop):
    for _ in range(WRONG_TRIES + 1):
        try_to_sign_in("wrong")
    assert try_to_sign_in(PASSWORD, address="192.0.2.2").status_code == 302
    assert try_to_sign_in(PASSWORD, username="maker").status_code == 302


def test_a_right_password_clears_the_count(owner, workshop):
    for _ in range(2):
        for _ in range(WRONG_TRIES - 1):
            try_to_sign_in("wrong")
        assert try_to_sign_in(PASSWORD).status_code == 302
