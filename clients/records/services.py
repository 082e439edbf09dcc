"""Erasing a client: every row, every value on the tape, what is said of them elsewhere, and the next backup's copy."""

import re
from collections import defaultdict
from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from clients.models import Client
from clients.records.belongings import belongings
from clients.records.clean_up import clean_up
from clients.records.erased import CLIENT, HEALTH, erased, noted
from clients.records.history import acts_about, changes_of, deleted_rows, ids_ever, kinds_by_act
from clients.records.words import words_again
from clients.services.consent import erase_health, withdraw_consent
from coachdesk.practice.models import Act, Change, Membership, Practice
from coachdesk.practice.rows import parts
from coachdesk.practice.tape import Tape, UndoConflict, guard, write
from coachdesk.practice.text import clean_text

LABEL = "Erase a client"
# A letter or a digit; what stands between words in the name of a file is neither.
IN_WORD = r"[^\W_]"
# 'vera_lindholm.csv' names Vera Lindholm as well.
BETWEEN = r"[\W_]{0,3}"
HOLDS_SOMETHING = Q(before__isnull=False) | Q(after__isnull=False)
# Told by the apps above: what else must forget a client who is erased, within the same transaction.
_forgetting: list[Callable[[Client], None]] = []


def with_erasure(forget: Callable[[Client], None]) -> None:
    """Register `forget(client)` to run when a client is erased, before their rows go."""
    _forgetting.append(forget)


def erase_client(*, by: Membership, client: Client, typed: str, now: datetime) -> bool:
    """Erase a client for good; `typed` must be their name. False when traces may still lie in the database's files.

    Acts and changes stay with who, when and of what kind; their values and words go. Raises ValidationError, Gone.
    """
    if same_words(typed) != same_words(client.name):
        raise ValidationError({"typed": f"'{typed[:40]}' is not the name. Write it as it stands above, or leave."})
    with noted(CLIENT, client.uid, now), write(LABEL, by=by, subject=f"client:{client.pk}", at=now) as tape:
        _erase(tape, tape.lock(client))
    return clean_up()


def erase_again(*, now: datetime | None = None) -> int:
    """Erase whoever was erased before and came back, as with an old backup; gives how many. Run it after a restore."""
    gone = {one.uid for one in erased() if one.what == CLIENT}
    back = [row for part in parts(sorted(gone)) for row in Client.objects.filter(uid__in=part).order_by("id")]
    for row in back:
        at, subject = now or timezone.now(), f"client:{row.pk}"
        with write(LABEL, practice=row.practice, subject=subject, source="restore", at=at) as tape:
            _erase(tape, tape.lock(row))
    again = [_health_again(now or timezone.now()), words_again(now or timezone.now())]
    if any(again) or back:
        clean_up()
    return len(back)


def take_consent_back(*, by: Membership, client: Client, now: datetime, erase: bool) -> bool:
    """Withdraw consent to health notes; with `erase` they go for good, from an old backup put back too."""
    if not erase:
        withdraw_consent(by=by, client=client, now=now, erase=False)
        return True
    with noted(HEALTH, client.uid, now):
        withdraw_consent(by=by, client=client, now=now, erase=True)
    return clean_up()


def _health_again(at: datetime) -> int:
    """Erase again the health notes of those who took consent back after the copy that was put back was made."""
    count = 0
    for line in erased():
        row = Client.objects.filter(uid=line.uid).first() if line.what == HEALTH else None
        if row is None or row.health_consents.filter(erased_at__gte=line.at).exists():
            continue
        with write(
            "Erase health notes", practice=row.practice, subject=f"client:{row.pk}", source="restore", at=at
        ) as tape:
            tape.lock(row)
            row.health_consents.filter(given=True, withdrawn_on=None).update(withdrawn_on=line.at.date())
            erase_health(tape=tape, client=row, now=line.at)
        count += 1
    return count


def same_words(text: str) -> str:
    """Text as a person would call it the same: one space between words, whatever the case."""
    return " ".join(clean_text(text).split()).casefold()


def _erase(tape: Tape, client: Client) -> None:
    ids = ids_ever(client, deleted_rows(client.practice_id))
    names = names_ever(client)
    for forget in _forgetting:
        forget(client)
    practice, pk = client.practice, client.pk
    acts = [act for act in acts_about(client, ids) if act != tape.act.pk]
    client.delete()
    # After the delete, which waits for those who are writing these rows: what they put on the tape goes too.
    for some in changes_of(ids):
        Change.objects.filter(some).update(before=None, after=None)
    _reword(practice, acts, names)
    tape.note_erased(Client, pk)


def names_ever(client: Client) -> set[str]:
    """The name and those the client had before."""
    names = {client.name}
    own = Change.objects.filter(model=Client._meta.label_lower, row=client.pk)
    for before, after in own.values_list("before", "after"):
        names |= {values["name"] for values in (before, after) if values and values.get("name")}
    return names


def name_words(name: str) -> list[str]:
    """'Vera-Lou Lindholm' -> ['Vera', 'Lou', 'Lindholm']."""
    return re.findall(rf"{IN_WORD}+", name)


def _reword(practice: Practice, acts: list[int], names: set[str]) -> None:
    """Acts on nobody else say only what kind they were; all others lose the name."""
    shared: set[int] = set()
    for part in parts(acts):
        kept = Change.objects.filter(HOLDS_SOMETHING, act__in=part)
        shared.update(kept.values_list("act", flat=True))
    by_label: dict[str, list[int]] = defaultdict(list)
    kinds = kinds_by_act(acts)
    for act in acts:
        if act not in shared:
            by_label[_kind_words(kinds.get(act, set()))].append(act)
    for label, some in by_label.items():
        for part in parts(some):
            Act.objects.filter(pk__in=part).update(label=label)
    _take_names_out(practice, names)


def _kind_words(labels: set[str]) -> str:
    """'About an erased client: precaution, screening'."""
    named = {one.label: one.name for one in belongings()}
    words = ", ".join(sorted(named.get(label, "other") for label in labels))
    return f"About an erased client{': ' if words else ''}{words}"[:200]


def _take_names_out(practice: Practice, names: set[str]) -> None:
    """Other acts may name the client in passing; a namesake who stays keeps theirs."""
    others = set(Client.objects.filter(practice=practice, name__in=names).values_list("name", flat=True))
    for name in sorted(names - others, key=len, reverse=True):
        words = name_words(name) or [name]
        parted = BETWEEN.join(map(re.escape, words))
        whole = re.compile(rf"(?<!{IN_WORD}){parted}(?!{IN_WORD})", re.IGNORECASE)
        longest = max(words, key=len)
        for act in Act.objects.filter(practice=practice, label__icontains=longest).order_by("id"):
            Act.objects.filter(pk=act.pk).update(label=whole.sub("an erased client", act.label)[:200])


def _nothing_left(by: Membership, act: Act) -> None:
    """An act on an erased client has nothing to put back."""
    if act.changes.exists() and not act.changes.filter(HOLDS_SOMETHING).exists():
        raise UndoConflict("This concerns a client who was erased: nothing is left to put back.")


guard(_nothing_left)
