"""Loading the exercises and evidence cards every practice starts with; running it again changes nothing."""

from dataclasses import asdict

from django.db import transaction

from coachdesk.practice.tape import fields_of
from coachdesk.practice.text import fold
from programs.library.chains import EASIER
from programs.library.evidence import CARDS
from programs.library.exercises import LIBRARY
from programs.models import EvidenceCard, Exercise, ExerciseMuscle, Substitute


def load_library() -> int:
    """Make or update the library's rows, which belong to no practice. Gives how many exercises there are."""
    with transaction.atomic():
        _load_cards()
        known = {row.code: row for row in Exercise.objects.filter(practice=None)}
        for one in LIBRARY:
            row = known.setdefault(one.code, Exercise(code=one.code))
            row.name, row.folded, row.description = one.name, fold(one.name), one.description
            row.pattern, row.equipment_kind, row.rep_kind = one.pattern, one.equipment_kind, one.rep_kind
            row.implements, row.limbs = one.implements, one.limbs
            row.spotter, row.endurance = one.spotter, one.endurance
            row.body_share, row.body_basis = round(one.body_share * 1000), one.body_basis
            row.full_clean()
            row.save()
        for code, easier in EASIER.items():
            if known[code].easier_id != known[easier].pk:
                known[code].easier = known[easier]
                known[code].save(update_fields=["easier"])
        mine = [known[one.code].pk for one in LIBRARY]
        ExerciseMuscle.objects.filter(exercise__in=mine).delete()
        Substitute.objects.filter(exercise__in=mine).delete()
        ExerciseMuscle.objects.bulk_create(
            ExerciseMuscle(exercise=known[one.code], muscle=code, share=round(share * 1000))
            for one in LIBRARY
            for code, share in one.muscles
        )
        Substitute.objects.bulk_create(
            Substitute(exercise=known[one.code], substitute=known[code], rank=rank)
            for one in LIBRARY
            for rank, code in enumerate(one.substitutes, start=1)
        )
    return len(LIBRARY)


def _load_cards() -> None:
    known = {row.code: row for row in EvidenceCard.objects.filter(practice=None)}
    for card in CARDS:
        row = known.get(card.code, EvidenceCard(code=card.code))
        was = fields_of(row)
        for name, value in asdict(card).items():
            setattr(row, name, value.split() if name in ("about", "patterns") else value)
        if row.pk is None or fields_of(row) != was:
            row.full_clean()
            row.save()
