"""A client's planned sessions as iCalendar text (RFC 5545): days and names, and nothing about health."""

import re
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta

from clients.models import Client
from clients.selectors import today_for
from programs.models import PlannedSession
from programs.selectors import planned_days

# What a calendar shows: what is behind for a while, what is ahead for longer than anybody plans in detail.
BEHIND, AHEAD = timedelta(days=90), timedelta(days=366)
MOST_OCTETS = 75
HEAD = (
    "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Coachdesk//Sessions//EN", "CALSCALE:GREGORIAN", "NAME:Training",
    "X-WR-CALNAME:Training", "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
)  # fmt: skip
# A calendar must hold a component (3.6), and a plan may be empty: then the zone that its stamps are in.
NOTHING_PLANNED = (
    "BEGIN:VTIMEZONE", "TZID:UTC", "BEGIN:STANDARD", "DTSTART:19700101T000000", "TZOFFSETFROM:+0000",
    "TZOFFSETTO:+0000", "END:STANDARD", "END:VTIMEZONE",
)  # fmt: skip
# Everything below a space, and DEL: the only signs that text may not hold (3.1), but for the tab.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def sessions_calendar(client: Client, now: datetime) -> str:
    """The calendar of a client's sessions from 90 days ago to a year ahead, where they are."""
    today = today_for(client, now)
    days = planned_days([client], today - BEHIND, today + AHEAD)
    return calendar_text(((on, session) for _, on, session in days), now)


def calendar_text(days: Iterable[tuple[date, PlannedSession]], now: datetime) -> str:
    """Whole-day events of these sessions, lines folded and ended as RFC 5545 asks. The plan knows no hours."""
    events = [line for on, session in days for line in _event(on, session, now)]
    lines = [*HEAD, *(events or NOTHING_PLANNED), "END:VCALENDAR"]
    return "".join(f"{part}\r\n" for line in lines for part in folded(line))


def _event(on: date, session: PlannedSession, now: datetime) -> tuple[str, ...]:
    # A copy of a template keeps the uid of what it was copied from; with the id the two together stay unique.
    return (
        "BEGIN:VEVENT", f"UID:{session.uid}.{session.pk}", f"DTSTAMP:{now.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{on:%Y%m%d}", f"DTEND;VALUE=DATE:{on + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{escaped(session.name)}", "CLASS:PRIVATE", "TRANSP:TRANSPARENT", "END:VEVENT",
    )  # fmt: skip


def escaped(text: str) -> str:
    """Text as a value (3.3.11): backslash, semicolon, comma and line end escaped, control signs left out."""
    # The three of Unicode too: they are allowed, but not every reader of lines knows that.
    text = re.sub(r"[\\;,]", r"\\\g<0>", re.sub("\r\n?|[\x85\u2028\u2029]", "\n", text))
    return _CONTROL.sub("", text.replace("\n", "\\n"))


def folded(line: str) -> Iterator[str]:
    """The line in parts of at most 75 octets (3.1), each after the first begun with a space; no letter is cut."""
    part, room = "", MOST_OCTETS
    for sign in line:
        size = len(sign.encode())
        if size > room:
            yield part
            part, room = " ", MOST_OCTETS - 1
        part, room = part + sign, room - size
    yield part
