"""Free words of a client's: messages, reasons, notes of sessions. Asked of everybody, and health may be told in them.

They are no health notes, so they stay when consent is withdrawn: what was agreed and why a session went otherwise. A
coach may then take the words out; that something was said, skipped or swapped stays.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.records.clean_up import clean_up
from clients.records.erased import WORDS, erased, noted
from clients.records.history import Ids, deleted_rows, ids_ever
from clients.records.selectors import KindCount
from clients.selectors import health_consent
from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.rows import parts
from coachdesk.practice.tape import Tape, write

LABEL = "Remove the words of messages and reasons"
REMOVED = "removed"


@dataclass(frozen=True)
class Words:
    """One kind of free words, told by the app that keeps them. `erase` takes those out that were said up to then."""

    one: str
    many: str
    count: Callable[[Client], int]
    erase: Callable[[Client, datetime], None]
    # Label of a model -> its columns with words, and whether they may be empty.
    columns: dict[str, dict[str, bool]]


_kinds: list[Words] = []


def with_words(kind: Words) -> None:
    """Register a kind of words to be counted and taken out."""
    _kinds.append(kind)


def words_kept(client: Client) -> list[KindCount]:
    """How much of each kind there is; kinds without any left out."""
    counted = ((kind, kind.count(client)) for kind in _kinds)
    return [KindCount(kind.one if n == 1 else kind.many, n) for kind, n in counted if n]


def erase_words(*, by: Membership, client: Client, now: datetime) -> bool:
    """Take the words out for good, on the tape and from old backups put back too.

    Gives False when traces may still lie in the database's files. Raises ValidationError while consent holds.
    """
    consent = health_consent(client)
    if consent is None or consent.holds:
        raise ValidationError(f"{client.name} has not taken consent back; the words of messages and reasons stay.")
    with noted(WORDS, client.uid, now), write(LABEL, by=by, subject=f"client:{client.pk}", at=now) as tape:
        _erase(tape, tape.lock(client), now)
    return clean_up()


def words_again(at: datetime) -> int:
    """Take out again what came back with a copy from before it was taken out; gives of how many clients."""
    count = 0
    for line in erased():
        row = Client.objects.filter(uid=line.uid).first() if line.what == WORDS else None
        done = Act.objects.filter(subject=f"client:{row.pk}", label=LABEL, at__gte=line.at) if row else None
        if row is None or (done is not None and done.exists()):
            continue
        with write(LABEL, practice=row.practice, subject=f"client:{row.pk}", source="restore", at=at) as tape:
            _erase(tape, tape.lock(row), line.at)
        count += 1
    return count


def _erase(tape: Tape, client: Client, until: datetime) -> None:
    for kind in _kinds:
        kind.erase(client, until)
    ids = ids_ever(client, deleted_rows(client.practice_id))
    for kind in _kinds:
        for label, columns in kind.columns.items():
            _take_out(ids, label, columns, until)
    tape.note_erased(Client, client.pk)


def _take_out(ids: Ids, label: str, columns: dict[str, bool], until: datetime) -> None:
    for part in parts(list(ids.get(label, ()))):
        for change in Change.objects.filter(model=label, row__in=part, act__at__lte=until).order_by("id"):
            for values in (change.before, change.after):
                for name, may_be_empty in columns.items():
                    if values and values.get(name):
                        values[name] = "" if may_be_empty else REMOVED
            change.save(update_fields=["before", "after"])
