"""What is done to the workshop itself: how it works, and who works in it."""

from typing import Any

from django.db import transaction
from django.db.models import Q

from soapshop.audit import changed_fields, note_event
from soapshop.models import User, Workshop


class HasOwner(Exception):
    """The shop has an account already."""


class PeopleRefusal(Exception):
    """Something cannot be done with an account; the message says why and the mend."""


@transaction.atomic
def create_first_owner(
    *, username: str, password: str, first_name: str, workshop_name: str, time_zone: str, email: str = ""
) -> User:
    """Make the shop's first account, an owner's. The workshop's row is held meanwhile: of two visitors one succeeds."""
    workshop = _locked_workshop()
    if User.objects.exists():
        raise HasOwner("This shop has its first account already. Sign in, or ask its owner for an account.")
    owner = User.objects.create_user(
        username, email=email, password=password, first_name=first_name, role=User.Role.OWNER
    )
    workshop.name = workshop_name
    workshop.time_zone = time_zone
    workshop.save(update_fields=["name", "time_zone"])
    note_event(by=owner, verb="create_first_owner", subject=owner, text=f"{owner.display_name} opened the shop.")
    return owner


@transaction.atomic
def change_workshop(*, wanted: dict[str, Any], by: User) -> Workshop:
    """Write those settings that differ from what the workshop's row holds, and note what they were."""
    workshop = _locked_workshop()
    before, after = changed_fields(workshop, wanted)
    if not after:
        return workshop
    for name, new in after.items():
        setattr(workshop, name, new)
    workshop.full_clean()
    workshop.save(update_fields=list(after))
    names = ", ".join(str(Workshop._meta.get_field(name).verbose_name) for name in after)  # type: ignore[union-attr]
    note_event(
        by=by,
        verb="change_workshop",
        subject=workshop,
        text=f"Changed in the settings: {names}.",
        before=before,
        after=after,
    )
    return workshop


@transaction.atomic
def add_person(*, username: str, first_name: str, last_name: str = "", role: str, password: str, by: User) -> User:
    """Give somebody an account. Names to sign in with that differ in capitals only would be mistaken for each other."""
    _let_only_owners(by)
    _locked_workshop()
    if User.objects.filter(username__iexact=username).exists():
        raise PeopleRefusal(f"Somebody signs in as {username} already. Choose another name to sign in with.")
    person = User.objects.create_user(
        username, password=password, first_name=first_name, last_name=last_name, role=role
    )
    text = f"Added {person.display_name} as {person.get_role_display().lower()}."
    note_event(by=by, verb="add_person", subject=person, text=text, after={"username": username, "role": role})
    return person


@transaction.atomic
def change_person(*, person_id: int, wanted: dict[str, str], by: User) -> User:
    """Write a person's names and role (``first_name``, ``last_name``, ``role``) where they differ."""
    person = _locked_person(person_id, by=by)
    before, after = changed_fields(person, wanted)
    if not after:
        return person
    if after.get("role") == User.Role.MAKER:
        _leave_an_owner(person)
    for name, new in after.items():
        setattr(person, name, new)
    person.save(update_fields=list(after))
    text = f"Changed the account of {person.display_name}."
    note_event(by=by, verb="change_person", subject=person, text=text, before=before, after=after)
    return person


@transaction.atomic
def close_account(*, person_id: int, by: User) -> User:
    """Let a person sign in no more. What they did stays in the book under their name, so no account is ever deleted."""
    person = _locked_person(person_id, by=by)
    if not person.is_active:
        raise PeopleRefusal(f"The account of {person.display_name} is closed already. There is nothing left to do.")
    _leave_an_owner(person)
    return _set_open(person, False, verb="close_account", by=by)


@transaction.atomic
def reopen_account(*, person_id: int, by: User) -> User:
    person = _locked_person(person_id, by=by)
    if person.is_active:
        raise PeopleRefusal(f"The account of {person.display_name} is open. There is nothing left to do.")
    return _set_open(person, True, verb="reopen_account", by=by)


@transaction.atomic
def reset_password(*, person_id: int, password: str, by: User) -> User:
    """Set a password for somebody who forgot theirs; wherever they were signed in, they are signed out."""
    person = _locked_person(person_id, by=by)
    person.set_password(password)
    person.save(update_fields=["password"])
    text = f"Set a new password for {person.display_name}."
    note_event(by=by, verb="reset_password", subject=person, text=text)
    return person


@transaction.atomic
def change_own_password(*, person_id: int, password: str) -> User:
    person = User.objects.select_for_update().get(pk=person_id)
    person.set_password(password)
    person.save(update_fields=["password"])
    text = f"{person.display_name} chose a new password."
    note_event(by=person, verb="change_own_password", subject=person, text=text)
    return person


def _let_only_owners(by: User) -> None:
    if not by.is_owner:
        raise PeopleRefusal("Only an owner looks after the accounts. Ask one of them.")


def _locked_person(person_id: int, *, by: User) -> User:
    """Lock the workshop's row first: two owners who close each other's accounts at once must wait for each other."""
    _let_only_owners(by)
    _locked_workshop()
    return User.objects.select_for_update().get(pk=person_id)


def _leave_an_owner(person: User) -> None:
    """Refuse to take away the last person who can approve, release and let others in."""
    owners = User.objects.filter(Q(role=User.Role.OWNER) | Q(is_superuser=True), is_active=True)
    if person.is_owner and not owners.exclude(pk=person.pk).exists():
        raise PeopleRefusal(
            f"{person.display_name} is the only owner, and a shop needs one. Make somebody else an owner first."
        )


def _set_open(person: User, is_open: bool, *, verb: str, by: User) -> User:
    person.is_active = is_open
    person.save(update_fields=["is_active"])
    text = f"The account of {person.display_name} is {'open again' if is_open else 'closed'}."
    note_event(
        by=by, verb=verb, subject=person, text=text, before={"is_active": not is_open}, after={"is_active": is_open}
    )
    return person


def _locked_workshop() -> Workshop:
    return Workshop.objects.select_for_update().get(pk=Workshop.current().pk)
