"""Who works in the shop: accounts are given, changed, closed and opened again, and never deleted."""

import re

import pytest
from django.core.cache import cache
from django.test import Client

from soapshop.actions import (
    PeopleRefusal,
    add_person,
    change_own_password,
    change_person,
    close_account,
    reopen_account,
    reset_password,
)
from soapshop.models import AuditEvent, User
from tests.conftest import PASSWORD

NEW = {"first_name": "Wilma", "last_name": "", "username": "wilma", "role": "maker", "password": "kettle-and-twine"}
ONLY_OWNER = "Ines is the only owner, and a shop needs one. Make somebody else an owner first."


@pytest.fixture(autouse=True)
def _forget_tries():
    cache.clear()


@pytest.fixture
def second_owner(db):
    return User.objects.create_user("second", password=PASSWORD, first_name="Odo", role=User.Role.OWNER)


def can_sign_in(username: str, password: str) -> bool:
    return Client().post("/sign-in/", {"username": username, "password": password}).status_code == 302


def field_faults(response) -> dict[str, list[str]]:
    return dict(response.context["form"].errors)


def test_everybody_sees_who_works_here_and_only_an_owner_the_ways_to_change_it(owner_client, maker_client):
    for client, links in ((owner_client, True), (maker_client, False)):
        page = client.get("/settings/people/").content.decode()
        assert ("Ines" in page, "Tobin" in page, 'href="/settings/people/new/"' in page) == (True, True, links)


def test_the_list_takes_as_many_queries_for_five_as_for_two(owner_client, maker, django_assert_num_queries):
    owner_client.get("/settings/people/")
    with django_assert_num_queries(4):  # session, person, workshop, list
        owner_client.get("/settings/people/")
    for number in range(3):
        User.objects.create_user(f"person-{number}", password=PASSWORD)
    with django_assert_num_queries(4):
        owner_client.get("/settings/people/")


def test_a_person_is_added_and_can_sign_in(owner, owner_client):
    response = owner_client.post("/settings/people/new/", NEW)
    assert (response.status_code, response["Location"]) == (302, "/settings/people/")
    added = User.objects.get(username="wilma")
    assert (added.display_name, added.is_owner, added.is_active) == ("Wilma", False, True)
    event = AuditEvent.objects.get(verb="add_person")
    assert (event.by, event.text, event.after) == (
        owner,
        "Added Wilma as maker.",
        {"username": "wilma", "role": "maker"},
    )
    assert can_sign_in("wilma", "kettle-and-twine")


def test_a_password_stands_ready_on_the_new_persons_page_and_is_another_each_time(owner_client):
    shown = [owner_client.get("/settings/people/new/") for _ in range(2)]
    words = [re.findall(r'value="((?:[a-z]{5}-){3}[a-z]{5})"', page.content.decode()) for page in shown]
    assert [len(found) for found in words] == [1, 1]
    assert words[0] != words[1]
    assert "no-store" in shown[0]["Cache-Control"]


@pytest.mark.parametrize(
    ("typed", "faults"),
    (
        pytest.param({"first_name": ""}, {"first_name": ["This is still empty. Fill it in."]}, id="no name"),
        pytest.param({"role": "queen"}, {"role": ["“queen” is not on the list. Choose from the list."]}, id="no role"),
        pytest.param(
            {"username": "wil ma"},
            {"username": ["A sign-in name takes letters, digits and @ . + - _ only. Leave out spaces and the rest."]},
            id="a space in the sign-in name",
        ),
        pytest.param(
            {"username": "OWNER"},
            {"username": ["Somebody signs in as OWNER already. Choose another name to sign in with."]},
            id="taken, but for capitals",
        ),
        pytest.param(
            {"password": "soap"},
            {"password": ["This password is too short. Take at least 10 characters, such as three words."]},
            id="short password",
        ),
        pytest.param(
            {"password": "8402751936"},
            {"password": ["This password has digits only. Add letters."]},
            id="digits only",
        ),
        pytest.param(
            {"username": "wilma-the-maker", "password": "wilma-the-maker"},
            {"password": ["This password is too close to your own name. Choose one that has nothing to do with you."]},
            id="password like the name",
        ),
    ),
)
def test_a_slip_is_named_and_what_was_typed_is_kept(owner_client, typed, faults):
    response = owner_client.post("/settings/people/new/", {**NEW, **typed})
    assert (response.status_code, field_faults(response)) == (422, faults)
    assert ('value="Wilma"' in response.content.decode()) == ("first_name" not in typed)
    assert User.objects.count() == 1


def test_a_role_is_changed_and_noted(owner_client, maker):
    response = owner_client.post(
        f"/settings/people/{maker.pk}/", {"first_name": "Tobin", "last_name": "Reed", "role": "owner"}
    )
    assert response.status_code == 302
    maker.refresh_from_db()
    assert (maker.display_name, maker.is_owner) == ("Tobin Reed", True)
    event = AuditEvent.objects.get(verb="change_person")
    assert (event.before, event.after) == (
        {"last_name": "", "role": "maker"},
        {"last_name": "Reed", "role": "owner"},
    )


def test_saving_a_person_without_a_change_leaves_no_trace(owner_client, maker):
    same = {"first_name": "Tobin", "last_name": "", "role": "maker"}
    assert owner_client.post(f"/settings/people/{maker.pk}/", same).status_code == 302
    assert not AuditEvent.objects.exists()


def test_the_only_owner_can_neither_step_down_nor_close_their_account(owner, owner_client, maker):
    response = owner_client.post(f"/settings/people/{owner.pk}/", {"first_name": "Ines", "role": "maker"})
    assert (response.status_code, field_faults(response)) == (422, {"role": [ONLY_OWNER]})
    response = owner_client.post(f"/settings/people/{owner.pk}/close/", {"close": "1"}, follow=True)
    assert [str(message) for message in response.context["messages"]] == [ONLY_OWNER]
    owner.refresh_from_db()
    assert (owner.is_owner, owner.is_active) == (True, True)


def test_one_of_two_owners_can_step_down(owner, second_owner):
    assert not change_person(person_id=owner.pk, wanted={"role": "maker"}, by=owner).is_owner
    owner.refresh_from_db()
    with pytest.raises(PeopleRefusal):
        close_account(person_id=second_owner.pk, by=second_owner)


def test_a_closed_owner_does_not_count_as_one(owner, second_owner):
    close_account(person_id=second_owner.pk, by=owner)
    with pytest.raises(PeopleRefusal, match="only owner"):
        change_person(person_id=owner.pk, wanted={"role": "maker"}, by=owner)


def test_a_closed_account_is_signed_out_at_once_and_can_be_opened_again(owner, owner_client, maker, maker_client):
    assert maker_client.get("/settings/people/").status_code == 200
    owner_client.post(f"/settings/people/{maker.pk}/close/", {"close": "1"})
    assert maker_client.get("/settings/people/")["Location"] == "/sign-in/?next=/settings/people/"
    assert not can_sign_in("maker", PASSWORD)
    assert User.objects.filter(pk=maker.pk, is_active=False).exists()
    owner_client.post(f"/settings/people/{maker.pk}/close/", {"reopen": "1"})
    assert can_sign_in("maker", PASSWORD)
    assert list(AuditEvent.objects.order_by("pk").values_list("verb", "text")) == [
        ("close_account", "The account of Tobin is closed."),
        ("reopen_account", "The account of Tobin is open again."),
    ]


def test_closing_twice_is_refused_in_a_sentence(owner, maker):
    close_account(person_id=maker.pk, by=owner)
    with pytest.raises(PeopleRefusal, match="closed already"):
        close_account(person_id=maker.pk, by=owner)
    reopen_account(person_id=maker.pk, by=owner)
    with pytest.raises(PeopleRefusal, match="is open"):
        reopen_account(person_id=maker.pk, by=owner)


def test_a_new_password_signs_the_person_out_elsewhere(owner_client, maker, maker_client):
    path = f"/settings/people/{maker.pk}/password/"
    assert owner_client.get(path).status_code == 200
    assert owner_client.post(path, {"password": "short"}).status_code == 422
    assert maker_client.get("/settings/people/").status_code == 200
    assert owner_client.post(path, {"password": "kettle-and-twine"}).status_code == 302
    assert maker_client.get("/settings/people/").status_code == 302
    assert (can_sign_in("maker", PASSWORD), can_sign_in("maker", "kettle-and-twine")) == (False, True)
    event = AuditEvent.objects.get(verb="reset_password")
    assert (event.before, event.after) == (None, None)


def test_everybody_changes_their_own_password_and_stays_signed_in(maker, maker_client):
    wanted = {"old_password": PASSWORD, "new_password1": "kettle-and-twine", "new_password2": "kettle-and-twine"}
    response = maker_client.post("/settings/password/", {**wanted, "old_password": "wrong"})
    assert (response.status_code, field_faults(response)) == (
        422,
        {"old_password": ["This is not your present password. Type it again; capitals count."]},
    )
    response = maker_client.post("/settings/password/", {**wanted, "new_password2": "kettle-and-rope"})
    assert field_faults(response) == {"new_password2": ["The two passwords differ. Type the same one twice."]}
    assert maker_client.post("/settings/password/", wanted).status_code == 302
    assert maker_client.get("/settings/people/").status_code == 200
    assert can_sign_in("maker", "kettle-and-twine")
    assert AuditEvent.objects.get().text == "Tobin chose a new password."


def test_what_only_an_owner_does_is_closed_to_a_maker(maker, maker_client, owner):
    for path in ("new/", f"{owner.pk}/", f"{owner.pk}/password/"):
        assert maker_client.get(f"/settings/people/{path}").status_code == 403
        assert maker_client.post(f"/settings/people/{path}", NEW).status_code == 403
    assert maker_client.post(f"/settings/people/{owner.pk}/close/").status_code == 403
    for act in (
        lambda: add_person(username="x", first_name="X", role="owner", password=PASSWORD, by=maker),
        lambda: change_person(person_id=maker.pk, wanted={"role": "owner"}, by=maker),
        lambda: close_account(person_id=owner.pk, by=maker),
        lambda: reset_password(person_id=owner.pk, password=PASSWORD, by=maker),
    ):
        with pytest.raises(PeopleRefusal, match="Only an owner looks after the accounts"):
            act()


def test_an_unknown_person_is_a_page_not_found(owner_client):
    assert owner_client.get("/settings/people/4711/").status_code == 404
    assert owner_client.get("/settings/people/4711/password/").status_code == 404
    assert owner_client.post("/settings/people/4711/close/").status_code == 404


def test_ones_own_password_is_noted_without_the_password(maker):
    change_own_password(person_id=maker.pk, password="kettle-and-twine")
    event = AuditEvent.objects.get()
    assert (event.by, event.before, event.after) == (maker, None, None)


def test_a_refused_sign_in_says_what_to_do(maker, workshop):
    response = Client().post("/sign-in/", {"username": "maker", "password": "wrong"})
    assert response.context["form"].non_field_errors() == [
        "This name and this password do not belong together. Type both again; capitals count."
    ]
    response = Client().post("/sign-in/", {"username": "", "password": ""})
    assert field_faults(response) == {
        "username": ["This is still empty. Fill it in."],
        "password": ["This is still empty. Fill it in."],
    }


def test_settings_and_masthead_lead_to_the_people(owner_client, maker_client):
    assert owner_client.get("/settings/").content.decode().count('href="/settings/people/"') == 2
    assert maker_client.get("/settings/password/").content.decode().count('href="/settings/people/"') == 2
