"""Writes about the practice, clients, places, their calendar, groups and evidence."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.db import transaction

from clients import services as clients
from clients.links.services import make_link, revoke_again, revoke_link, rotate_link
from clients.models import Client, ClientLink, Equipment, HealthConsent, Place, Precaution
from clients.records.erased import CLIENT, HEALTH, LINK, WORDS, add_line, noted
from clients.records.services import erase_again, erase_client, take_consent_back
from clients.records.words import erase_words
from clients.services.handover import hand_over_client, see_handover
from clients.services.many import ManyChange, change_many
from clients.staff import services as staff
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.services import add_member, found_practice
from coachdesk.practice.tape import undo
from programs.calendar import services as calendar
from programs.evidence import services as evidence
from programs.groups import services as groups
from programs.intake.plan import make_plan
from programs.intake.reading import read_table
from programs.intake.services import import_clients
from programs.models import Absence, ClientDate
from programs.models.evidence import EvidenceCard
from tests.factories.clients import ALL_NO, KG_DUMBBELLS
from tests.faults.world import TODAY, World

AWAY = {"first_on": date(2026, 12, 28), "last_on": date(2027, 1, 3)}
CARD = {"title": "New", "who": "Ten.", "protocol": "P", "outcome": "O", "limits": "L", "citation": "C", "basis": "seen"}


def _imported(world: World) -> Any:
    table = read_table(f"name,exercise,load,reps\nNew One,{world.exercise.name},90,5")
    return import_clients(**world.at, plan=make_plan(table, by=world.desk, today=TODAY))


def _screened(world: World) -> Any:
    answers = {name: value for name, value in ALL_NO.items() if name != "v"}
    return clients.record_screening(**world.at, client=world.client, asked_on=TODAY, answers=answers)


def _erased_again(world: World) -> Any:
    """As after an old copy was put back: the id is on the list, the client is there."""
    with noted(CLIENT, world.client.uid, world.now):
        pass
    return erase_again(now=world.now)


def _health_again(world: World) -> Any:
    with noted(HEALTH, world.client.uid, world.now):
        pass
    return erase_again(now=world.now)


def _revoked_again(world: World) -> Any:
    """As after an old copy was put back: the key is on the list, the link is in force."""
    add_line(LINK, world.row(ClientLink, "link").key, world.now)
    return revoke_again(now=world.now)


def _regrouped(world: World) -> Any:
    was = [one.client_id for one in world.group.members.all()]
    members = [was[0], world.archived.pk]
    return groups.edit_group(
        **world.by, group=world.group, version=1, fields={"name": "N"}, members=members, was=was
    )  # fmt: skip


def _reordered(world: World) -> Any:
    keys = [row.pk for row in world.session.exercises.order_by("-position")]
    return groups.set_orders(**world.by, group=world.group, orders={world.session.pk: keys}, label="Stagger")


def _edit_client(world: World) -> Any:
    client = world.client
    return clients.edit_client(**world.at, client=client, version=client.version, name="Rosa")


def _words_out(world: World) -> Any:
    with transaction.atomic():
        HealthConsent.objects.filter(client=world.client).update(withdrawn_on=TODAY)
        return erase_words(**world.at, client=world.client)


def _words_again(world: World) -> Any:
    add_line(WORDS, world.client.uid, world.now)
    return erase_again(now=world.now)


CALLS: dict[str, Callable[[World], Any]] = {
    "change many": lambda w: change_many(
        **w.at, change=ManyChange("goal", "strength"), seen={w.client.pk: w.client.version}
    ),
    "found practice": lambda w: found_practice(name="New Hall", owner_name="Ola", email="ola@example.org"),
    "add member": lambda w: add_member(
        practice=w.desk.practice, name="Ida", email="new@example.org", role=Membership.Role.COACH
    ),
    "add staff": lambda w: staff.add_staff(
        **w.as_owner, name="Ida", email="new@example.org", role="assistant", may_log=True, assists=[w.desk]
    ),
    "change staff": lambda w: staff.change_staff(
        **w.as_owner, member=w.colleague, version=1, role="assistant", may_log=True, assists=[w.desk], was=[]
    ),
    "change person": lambda w: staff.change_person(
        **w.as_owner,
        member=w.colleague,
        name="Ida Ek",
        email="ida.ek@example.org",
        was_name=w.colleague.user.name,
        was_email=w.colleague.user.email,
    ),
    "leave": lambda w: staff.end_staff(**w.as_owner, member=w.desk, heir=w.colleague, note="Moved away"),
    "come back": lambda w: staff.return_staff(**w.as_owner, member=w.gone),
    "staff address": lambda w: staff.make_staff_address(**w.as_owner, member=w.desk),
    "hand over": lambda w: hand_over_client(
        **w.as_owner, client=w.client, was=w.desk.pk, to=w.colleague, note="Look at the knee"
    ),
    "see a handover": lambda w: see_handover(**w.at, client=w.client),
    "create client": lambda w: clients.create_client(**w.at, name="Rosa"),
    "edit client": _edit_client,
    "archive client": lambda w: clients.archive_client(**w.at, client=w.client),
    "restore client": lambda w: clients.restore_client(**w.at, client=Client.objects.get(pk=w.archived.pk)),
    "erase client": lambda w: erase_client(**w.at, client=w.client, typed=w.client.name),
    "erase again": _erased_again,
    "consent": lambda w: clients.record_consent(**w.at, client=w.client, asked_on=TODAY, given=False, words="Asked."),
    "words taken out": _words_out,
    "words taken out again": _words_again,
    "consent taken back": lambda w: take_consent_back(**w.at, client=w.client, erase=True),
    "health notes erased again": _health_again,
    "data kept": lambda w: clients.keep_client_data(
        **w.at, client=w.client, reason="Comes back.", again_on=date(2027, 11, 24)
    ),
    "months until asked": lambda w: clients.set_retention_months(by=w.owner, now=w.now, months=24),
    "make link": lambda w: make_link(**w.at, client=w.client, label="Tablet"),
    "rotate link": lambda w: rotate_link(**w.at, link=w.row(ClientLink, "link")),
    "revoke link": lambda w: revoke_link(**w.at, link=w.row(ClientLink, "link")),
    "revoke again": _revoked_again,
    "screening": _screened,
    "precaution": lambda w: clients.add_precaution(**w.at, client=w.client, words="Left knee"),
    "end precaution": lambda w: clients.end_precaution(**w.at, precaution=w.row(Precaution, "precaution")),
    "marks": lambda w: clients.mark_muscles(**w.at, client=w.client, marks={"chest": "grow", "lats": "hold"}),
    "house rules": lambda w: clients.set_rules(**w.at, of=w.client, values={"hours_apart": 72}),
    "create place": lambda w: clients.create_place(**w.at, name="Barn", starting="home"),
    "rename place": lambda w: clients.rename_place(**w.at, place=w.row(Place, "place"), version=1, name="Loft"),
    "add equipment": lambda w: clients.add_equipment(**w.at, place=w.row(Place, "place"), value=KG_DUMBBELLS),
    "starting set": lambda w: clients.add_starting_set(**w.at, place=w.row(Place, "place"), key="home"),
    "edit equipment": lambda w: clients.edit_equipment(
        **w.at, equipment=w.row(Equipment, "equipment"), version=1, value=KG_DUMBBELLS
    ),
    "remove equipment": lambda w: clients.remove_equipment(**w.at, equipment=w.row(Equipment, "equipment")),
    "import": _imported,
    "days away": lambda w: calendar.enter_absence(**w.by, client=w.client, **AWAY, kind="holiday"),
    "days away, sessions moved on": lambda w: calendar.enter_absence(
        **w.by, client=w.client, first_on=date(2026, 11, 24), last_on=date(2026, 11, 29), kind="illness", how="shift"
    ),
    "edit days away": lambda w: calendar.edit_absence(
        **w.by, absence=w.row(Absence, "absence"), version=1, fields={"note": "Sea"}
    ),
    "remove days away": lambda w: calendar.remove_absence(**w.by, absence=w.row(Absence, "absence")),
    "move session": lambda w: calendar.move_session(
        **w.by, session=w.copy_session, on=date(2026, 11, 26), version=w.copy_session.version
    ),
    "missed session": lambda w: calendar.answer_missed(**w.by, session=w.copy_session, how="drop", today=TODAY),
    "date": lambda w: calendar.enter_date(
        **w.by, client=w.client, on=date(2026, 12, 20), kind="peak", exercise=None, note="Meet"
    ),
    "edit date": lambda w: calendar.edit_date(
        **w.by, entry=w.row(ClientDate, "client_date"), version=1, fields={"note": "Meet"}
    ),
    "remove date": lambda w: calendar.remove_date(**w.by, entry=w.row(ClientDate, "client_date")),
    "create group": lambda w: groups.create_group(**w.by, name="New", place=None, members=[w.client, w.archived]),
    "edit group": _regrouped,
    "order of a group": _reordered,
    "remove group": lambda w: groups.remove_group(**w.by, group=w.group),
    "add evidence": lambda w: evidence.add_card(**w.at, values=CARD),
    "edit evidence": lambda w: evidence.edit_card(**w.at, card=w.card, version=1, values={"title": "Other"}),
    "remove evidence": lambda w: evidence.remove_card(**w.at, card=EvidenceCard.objects.get(pk=w.card.pk)),
    # Undoing an import goes on in further acts once it is written: that is tried by itself.
    "undo an act": lambda w: undo(Act.objects.exclude(subject__startswith="csvlogs").latest("id"), by=w.desk),
}
