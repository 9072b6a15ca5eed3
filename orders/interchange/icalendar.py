"""Whole-day events as an iCalendar file (RFC 5545): lines end in CR LF and are folded at 75 octets."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

MOST_OCTETS = 75  # RFC 5545, section 3.1
PRODUCT = "-//Workshop book//Days of the workshop//EN"


@dataclass(frozen=True)
class CalendarDay:
    """One event of a whole day. ``key`` stays the same when the day moves, so that a phone moves it too."""

    key: str
    on: date
    title: str
    text: str = ""


def calendar_file(days: Iterable[CalendarDay], *, name: str, host: str, stamp: datetime) -> str:
    """Return the file. ``stamp`` is a moment in UTC; ``host`` makes the keys unlike those of another shop."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    lines.append(f"X-WR-CALNAME:{escaped(name)}")
    for day in days:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{escaped(day.key)}@{host}",
            f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}",
            f"DTSTART;VALUE=DATE:{day.on:%Y%m%d}",
            f"DTEND;VALUE=DATE:{day.on + timedelta(days=1):%Y%m%d}",
            f"SUMMARY:{escaped(day.title)}",
            *([f"DESCRIPTION:{escaped(day.text)}"] if day.text else []),
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def escaped(text: str) -> str:
    """Return text as section 3.3.11 wants it: backslash, semicolon, comma and line ends escaped."""
    plain = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    plain = plain.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(letter for letter in plain if letter >= " " and letter != "\x7f")


def folded(line: str) -> str:
    """Break a long line before any octet beyond the 75th, never inside a letter; each next line begins with a space."""
    pieces, piece, octets = [], "", 0
    for letter in line:
        size = len(letter.encode())
        if octets + size > MOST_OCTETS:
            pieces.append(piece)
            piece, octets = " ", 1
        piece, octets = piece + letter, octets + size
    return "\r\n".join([*pieces, piece])
