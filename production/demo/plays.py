"""The orders of the demo shop's year: who, what, when, and how far each has come. Days count from today."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Play:
    """One order. ``poured`` counts days from today (negative lies behind us); None means no batch yet.

    ``stage`` is how far it has come: enquiry, quoted, accepted, planned, weighing, poured, curing, review, ready,
    packed, handed_over, closed, cancelled, held.
    """

    customer: str
    design: str
    bars: int
    needed: int
    stage: str
    price: str
    poured: int | None = None
    occasion: str = ""
    event: int | None = None
    travel_days: int = 0
    hand_over: str = "pick_up"
    parts: dict[str, int] = field(default_factory=dict)
    wording: str = ""
    note: str = ""


@dataclass(frozen=True)
class Person:
    name: str
    email: str
    avoid: tuple[str, ...] = ()
    note: str = ""


PEOPLE = (
    Person("Maren Holloway", "maren@holloway.example", note="Prefers pick-up on Fridays."),
    Person("Tobias Fenn", "tobias@fenn.example"),
    Person("Ostrander Guest House", "desk@ostrander.example", note="Standing order each season."),
    Person("Ilse and Jonah Brandt", "ilse@brandt.example"),
    Person("Wren Calloway", "wren@calloway.example", avoid=("palm", "animal")),
    Person("Pía Montserrán", "pia@montserran.example"),
    Person("Dockside Pantry", "orders@docksidepantry.example"),
    Person("Hester Quill", "hester@quill.example", avoid=("nut",)),
    Person("Anselm Rudd", "anselm@rudd.example"),
    Person("Lucan and Odile Marsh", "odile@marsh.example"),
)

PLAYS = (
    Play(
        "Ostrander Guest House", "Guest Pebble", 36, -150, "closed", "2.40", poured=-230, note="For the summer rooms."
    ),
    Play("Tobias Fenn", "Oat Morning", 10, -40, "closed", "6.50", poured=-110),
    Play("Dockside Pantry", "Garden Wall", 21, -6, "handed_over", "5.20", poured=-64, hand_over="delivered"),
    Play(
        "Maren Holloway",
        "Two Tides",
        20,
        3,
        "packed",
        "7.40",
        poured=-58,
        parts={"seal-knot": 20, "topper-shell": 4},
        wording="With love, Maren & Idris",
    ),
    Play("Hester Quill", "Harbor Stripe", 10, 9, "ready", "7.20", poured=-52, parts={"seal-knot": 10}),
    Play("Anselm Rudd", "Night Lantern", 9, 14, "review", "6.80", poured=-44, occasion="House-warming"),
    Play(
        "Ilse and Jonah Brandt",
        "Two Tides",
        36,
        31,
        "curing",
        "7.90",
        poured=-24,
        occasion="Wedding favors",
        event=38,
        parts={"seal-knot": 36, "topper-shell": 6},
        wording="Ilse & Jonah",
        note="Six with a shell for the top table; a knot seal on every bar.",
    ),
    Play("Dockside Pantry", "Harbor Stripe", 21, 29, "held", "5.60", poured=-16, parts={"seal-knot": 21}),
    Play("Tobias Fenn", "Oat Morning", 10, 43, "curing", "6.50", poured=-9, travel_days=3, hand_over="post"),
    Play("Pía Montserrán", "Garden Wall", 10, 47, "poured", "6.90", poured=-1, parts={"seal-knot": 10}),
    Play("Wren Calloway", "Guest Pebble", 34, 52, "weighing", "2.60", poured=0, occasion="Naming day", event=60),
    Play(
        "Lucan and Odile Marsh",
        "Two Tides",
        120,
        88,
        "planned",
        "7.10",
        poured=27,
        occasion="Wedding favors",
        event=96,
        parts={"seal-knot": 120, "topper-shell": 24, "topper-star": 12, "stamp-initials": 120},
        wording="Odile + Lucan",
        note="Shell for the families, star for the children's table; a knot seal and the initials on every bar.",
    ),
    Play("Maren Holloway", "Garden Wall", 24, 70, "accepted", "6.90", parts={"seal-knot": 24}),
    Play(
        "Anselm Rudd",
        "Night Lantern",
        12,
        12,
        "accepted",
        "7.50",
        occasion="Name day",
        note="Asked for it on short notice.",
    ),
    Play(
        "Wren Calloway",
        "Harbor Stripe",
        12,
        64,
        "quoted",
        "7.20",
        parts={"seal-knot": 12},
        note="Saw it at the market.",
    ),
    Play("Hester Quill", "Two Tides", 24, 80, "enquiry", "7.40", parts={"seal-knot": 24, "topper-star": 5}),
    Play("Tobias Fenn", "Night Lantern", 30, 40, "cancelled", "6.80"),
)
