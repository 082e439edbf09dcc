"""Scripts in text on the coach's pages of the review: whatever was typed stays text there.

Every run tries every payload where the roster shows many at once, and one of `FEW` in all fields of which a page shows
one; all of them by `-m figures`, which says how many fields and pages that were.
"""

from datetime import timedelta

import pytest
from django.urls import reverse

from clients.models import Client
from coachdesk.practice.models import User
from programs.logs.models import BlockNote, ClientNeed, RosterView
from programs.models import Absence, Block, Exercise, FlagDecision, PlannedSession, Program, StrengthEstimate
from programs.services import assign_program
from tests.browser.answers import until
from tests.browser.test_phone_scripts import Pages
from tests.browser.test_trends import DRAWN, MONDAY, lifter, trends
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.logs import NOON
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory
from tests.hostile.scripts import SCRIPTS

__all__ = ["lifter"]
LAST = MONDAY - timedelta(weeks=1)
FEW = 40  # payloads between two that every run tries where a page shows one


@pytest.fixture
def pages(signed_in, lifter):
    return Pages(signed_in, lifter)


class Drawn:
    """Pages whose charts are waited for before they are read."""

    def __init__(self, pages):
        self.pages, self.looks = pages, 0

    def show(self, address, payloads):
        page = self.pages.watched.go(address)
        until(page, lambda: page.evaluate(DRAWN))
        self.pages.check(address, payloads, page)
        self.looks += 1


def test_every_payload_as_a_name_on_the_roster_stays_text(pages, desk):
    named = SCRIPTS[:48]
    rest = SCRIPTS[48:]
    for payload in named:
        ClientFactory(coach=desk, name=payload[:100])
    for n, payload in enumerate(rest):
        filters = {"flag": {"value": f"gone{n}", "words": payload[:60]}}
        RosterView.objects.create(practice=desk.practice, owner=desk, name=payload[:60], filters=filters)
    pages.watched.go("/")  # brings the rows up to date
    told = [[9, payload, f"rule{n}"] for n, payload in enumerate(SCRIPTS)]
    first = ClientNeed.objects.order_by("pk")[0]
    first.score, first.value = 900_000, {**first.value, "reasons": told}
    first.save()
    pages.show("/", [*(one[:100] for one in named), *(one[:60] for one in rest), *SCRIPTS])
    pages.show(f"/?q={SCRIPTS[0]}", [SCRIPTS[0]])
    page = pages.watched.go("/?tick=all")
    page.select_option("#roster-do", "goal:strength")
    page.click("#roster-look")
    page.wait_for_selector("#act-go")
    pages.check("a look", [one[:100] for one in named], page)
    page.click("#act-go")
    page.wait_for_selector("#act-undo")
    pages.check("done", [one[:100] for one in named], page)
    assert not pages.wrong


@pytest.fixture
def template(lifter, desk):
    made = ProgramFactory(coach=desk, name="Base block")
    exercise = StrengthEstimate.objects.filter(client=lifter)[0].exercise
    PlannedExerciseFactory(session=PlannedSessionFactory(program=made), exercise=exercise)
    assign_program(by=desk, program=made, client=lifter, start_on=LAST, today=LAST)
    return made


def turn(pages, lifter, template, desk, one):
    """One payload in every field of which a page shows one; gives in how many."""
    User.objects.filter(pk=desk.user_id).update(name=one[:100])
    type(desk.practice).objects.filter(pk=desk.practice_id).update(name=one[:100])
    place = PlaceFactory(practice=desk.practice, name=one[:60])
    Client.objects.filter(pk=lifter.pk).update(name=one[:100], place=place)
    Program.objects.filter(practice=desk.practice).update(name=one[:100])
    Block.objects.update(name=one[:60])
    PlannedSession.objects.update(name=one[:60])
    known = StrengthEstimate.objects.filter(client=lifter).values_list("exercise", flat=True).distinct()
    for n, pk in enumerate(sorted(known)):
        Exercise.objects.filter(pk=pk).update(name=f"{n} {one}"[:100])
    Absence.objects.filter(client=lifter).update(note=one[:200])
    StrengthEstimate.objects.filter(client=lifter).update(p_rising=0.2, trend_per_week=-0.004, count=20)
    program = lifter.programs.order_by("start_on")[0]
    block = program.blocks.get()
    FlagDecision.objects.filter(program__client=lifter).delete()
    for each in lifter.programs.all():
        FlagDecision.objects.create(program=each, flag_id="gone", code="stalled", why=one, by=desk, at=NOON)
    BlockNote.objects.filter(client=lifter).delete()
    BlockNote.objects.create(client=lifter, block=block, first_week=1, last_week=10, note=one, next_note=one)
    look(Drawn(pages), lifter, template, block, one)
    return 12


def look(drawn, lifter, template, block, one):
    name, pk = one[:100], [lifter.pk]
    drawn.show("/", [name])
    drawn.show(trends(lifter), [name, one[:200]])
    drawn.show(reverse("logs:client_blocks", args=pk), [name, one[:60]])
    drawn.show(reverse("logs:client_effort", args=pk), [name])
    drawn.show(reverse("logs:client_next_week", args=pk), [name, one])
    drawn.show(reverse("logs:program_client_list", args=[template.pk]), [name, f"0 {one}"[:100]])
    drawn.show(reverse("logs:block_report", args=[block.pk]), [name, one])
    drawn.show(f"{reverse('logs:muscle_list')}?week=2026-11-18&muscle=chest", [name])
    drawn.show(f"{reverse('logs:rule_order')}?need_no_program=999&need_missed=0", [])
    drawn.show(reverse("programs:absence_edit", args=[lifter.absences.get().pk]), [name, one[:200]])
    drawn.show(reverse("practice:act_list"), [])


def test_a_few_payloads_in_every_other_field_stay_text(pages, lifter, template, desk):
    for at in range(0, len(SCRIPTS), FEW):
        turn(pages, lifter, template, desk, SCRIPTS[at])
    assert not pages.wrong


@pytest.mark.figures
def test_every_payload_in_every_other_field_stays_text(pages, lifter, template, desk):
    fields = sum(turn(pages, lifter, template, desk, one) for one in SCRIPTS)
    print(f"\n{len(SCRIPTS)} payloads, {fields} fields filled, read {pages.looks} times on 11 pages, "
          f"{len(pages.wrong)} pages where anything ran, was refused or was not as typed")  # fmt: skip
    assert not pages.wrong
