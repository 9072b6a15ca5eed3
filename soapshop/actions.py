"""What is done to the workshop itself: its first account, and how it works."""

from typing import Any

from django.db import transaction

from soapshop.audit import changed_fields, note_event
from soapshop.models import User, Workshop


class HasOwner(Exception):
    """The shop has an account already."""


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


def _locked_workshop() -> Workshop:
    return Workshop.objects.select_for_update().get(pk=Workshop.current().pk)
