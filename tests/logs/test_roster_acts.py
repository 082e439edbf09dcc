"""One change to many clients of the roster: a look first, what became of each, one undo."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.urls import reverse

from clients.models import Client, Handover
from clients.services import edit_client
from clients.services.many import MOST, ManyChange, change_many
from coachdesk.practice.models import Act
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON
from tests.factories.practice import MembershipFactory

pytestmark = pytest.mark.django_db
ACT = "logs:roster_act"


@pytest.fixture
def three(desk):
    return [ClientFactory(coach=desk, name=name, goal="size") for name in ("Amara", "Bertil", "Chidi")]


def goals(clients):
    return [Client.objects.get(pk=client.pk).goal for client in clients]


def look(browser, do, clients, **more):
    return browser.post(reverse(ACT), {"do": do, "client": [client.pk for client in clients], **more})


def sure(browser, do, clients, **more):
    seen = [f"{client.pk}-{client.version}" for client in clients]
    return browser.post(reverse(ACT), {"do": do, "client": seen, "sure": "1", **more})


def test_a_look_writes_nothing_and_says_what_would_change_and_what_not(as_coach, three):
    Client.objects.filter(pk=three[2].pk).update(goal="strength")
    page = look(as_coach, "goal:strength", three)
    assert page.status_code == 200
    assert [line.client.name for line in page.context["lines"]] == ["Amara", "Bertil"]
    assert [(line.client.name, line.left_out) for line in page.context["left"]] == [("Chidi", "is so already")]
    assert "Set the goal to strength: 2 clients" in page.content.decode()
    assert goals(three) == ["size", "size", "strength"]
    assert not Act.objects.exists()


def test_one_act_one_result_a_row_and_one_undo(as_coach, three):
    answer = sure(as_coach, "goal:strength", three)
    assert goals(three) == ["strength"] * 3
    act = Act.objects.get(subject="clients")
    assert (act.label, act.changes.count()) == ("Set the goal to strength: 3 clients", 3)
    page = as_coach.get(answer["Location"]).content.decode()
    assert "Done for 3 clients" in page
    back = as_coach.post(reverse("practice:act_undo", args=[act.pk]), {"next": answer["Location"]})
    assert back["Location"] == answer["Location"]
    assert goals(three) == ["size"] * 3
    assert "Taken back" in as_coach.get(answer["Location"]).content.decode()


def test_who_was_changed_meanwhile_is_left_out_and_the_rest_changed(desk, as_coach, three):
    edit_client(by=desk, client=three[1], version=1, now=NOON, days_per_week=5)
    answer = sure(as_coach, "goal:health", three)
    assert goals(three) == ["health", "size", "health"]
    page = as_coach.get(answer["Location"])
    assert [client.name for client in page.context["changed"]] == ["Amara", "Chidi"]
    assert "Bertil: was changed by somebody meanwhile" in page.content.decode()


def test_a_second_press_changes_nothing_more(as_coach, three):
    sure(as_coach, "goal:health", three)
    again = sure(as_coach, "goal:health", three)
    assert again.status_code == 422
    assert "Nothing was left to change." in again.content.decode()
    assert Act.objects.filter(subject="clients").count() == 1


def test_only_the_owner_hands_over(desk, owner, as_coach, as_owner, three):
    other = MembershipFactory(practice=desk.practice, user__name="Jonas Ek")
    assert look(as_coach, f"coach:{other.pk}", three).status_code == 403
    assert "coach:" not in as_coach.get("/").content.decode()
    assert f"coach:{other.pk}" in as_owner.get("/").content.decode()
    sure(as_owner, f"coach:{other.pk}", three)
    assert set(Client.objects.values_list("coach", flat=True)) == {other.pk}
    assert "Amara" not in as_coach.get("/").content.decode()


def test_a_note_goes_with_each_client_who_is_handed_over(desk, as_owner, three):
    other = MembershipFactory(practice=desk.practice, user__name="Jonas Ek")
    assert 'name="note"' in look(as_owner, f"coach:{other.pk}", three).content.decode()
    assert 'name="note"' not in look(as_owner, "goal:health", three).content.decode()
    sure(as_owner, f"coach:{other.pk}", three, note="On leave; look at <b>Chidi</b>'s knee\x00.")
    noted = Handover.objects.values_list("client__name", "from_coach", "to_coach", "note")
    words = "On leave; look at <b>Chidi</b>'s knee."
    assert set(noted) == {(one.name, desk.pk, other.pk, words) for one in three}
    page = as_owner.get(reverse("clients:client_detail", args=[three[0].pk])).content.decode()
    assert "look at &lt;b&gt;Chidi&lt;/b&gt;" in page
    as_owner.post(reverse("practice:act_undo", args=[Act.objects.get(subject="clients").pk]))
    assert not Handover.objects.exists()


@pytest.mark.parametrize(
    ("note", "words"),
    [("x" * 1001, "at most 1000 characters"), ("y" * 10**6, "at most 1000"), ("e" + "\u0301" * 40, "combining marks")],
)
def test_a_note_that_cannot_be_kept_is_said_and_stays_typed(desk, as_owner, three, note, words):
    other = MembershipFactory(practice=desk.practice, user__name="Jonas Ek")
    answer = sure(as_owner, f"coach:{other.pk}", three, note=note)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert note in answer.content.decode()
    assert set(Client.objects.values_list("coach", flat=True)) == {desk.pk}
    assert not Act.objects.exists()


@pytest.mark.parametrize("who", ["assistant", "stranger"])
def test_nobody_hands_over_to_somebody_who_is_no_coach_here(request, owner, as_owner, three, who):
    one = request.getfixturevalue(who)
    assert sure(as_owner, f"coach:{one.pk}", three).status_code == 422
    with pytest.raises(ValidationError):
        change_many(by=owner, change=ManyChange("coach", one), seen={three[0].pk: 1}, now=NOON)
    assert not Client.objects.filter(coach=one).exists()


def test_a_coach_who_calls_the_service_is_refused(desk, three):
    with pytest.raises(PermissionDenied):
        change_many(by=desk, change=ManyChange("coach", desk), seen={three[0].pk: 1}, now=NOON)


def test_archived_ones_leave_the_roster_and_come_back_with_one_undo(as_coach, three):
    sure(as_coach, "archive", three[:2])
    page = as_coach.get("/")
    assert [row.client.name for row in page.context["page"].rows] == ["Chidi"]
    as_coach.post(reverse("practice:act_undo", args=[Act.objects.get(subject="clients").pk]))
    assert len(as_coach.get("/").context["page"].rows) == 3


def test_sheets_go_on_to_the_page_of_sheets(as_coach, three):
    answer = look(as_coach, "sheets", three)
    wanted = "&".join(f"client={client.pk}" for client in three)
    assert answer["Location"] == f"{reverse('programs:sheet_run_new')}?{wanted}"


def test_clients_of_others_are_counted_and_neither_named_nor_changed(as_coach, three, stranger):
    theirs = ClientFactory(coach=stranger, name="Hidden", goal="size")
    page = look(as_coach, "goal:health", [*three, theirs]).content.decode()
    assert "1 of those ticked is not among the clients you see" in page
    assert "Hidden" not in page
    answer = sure(as_coach, "goal:health", [*three, theirs])
    assert goals([theirs]) == ["size"]
    assert "Hidden" not in as_coach.get(answer["Location"]).content.decode()
    shown = as_coach.get(answer["Location"].replace(f"client={theirs.pk}", f"client={2**31}"))
    assert "1 of those ticked is not among" in shown.content.decode()


BAD = ["", "fame", "goal:fame", "goal:", "coach:", "coach:x", "coach:\u0663", "\x00", "x" * 10**6, "archive:1"]


@pytest.mark.parametrize("do", BAD)
def test_an_act_that_is_none_is_refused(as_owner, three, do):
    assert look(as_owner, do, three).status_code == 422
    assert goals(three) == ["size"] * 3


@pytest.mark.parametrize("ticked", [[], ["x"], ["-1"], ["1-x"], ["9" * 30], ["\x00"], ["\u0663"], ["1-2-3"]])
def test_ticks_that_name_nobody_are_refused(as_coach, three, ticked):
    answer = as_coach.post(reverse(ACT), {"do": "archive", "client": ticked})
    assert answer.status_code == 422
    assert "Tick at least one client" in answer.content.decode()


def test_too_many_at_once_are_refused(desk, three):
    with pytest.raises(ValidationError, match="500 at once is the most"):
        change_many(by=desk, change=ManyChange("archive"), seen=dict.fromkeys(range(MOST + 1), 1), now=NOON)


def test_an_assistant_sees_no_ticks_and_changes_nothing(as_assistant, three):
    page = as_assistant.get("/").content.decode()
    assert "Amara" in page
    assert 'name="client"' not in page
    assert look(as_assistant, "archive", three).status_code == 403
