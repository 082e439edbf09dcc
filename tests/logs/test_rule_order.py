"""Who would move on the roster under other weights: as the roster stands once the rules are saved."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.services import set_rules
from coachdesk.engine import DEFAULT
from coachdesk.engine.need import NeedFacts, Trend
from programs.logs import services
from programs.logs.models import ClientMessage, ClientNeed
from programs.logs.selectors import new_order, roster_page
from programs.logs.selectors.need_facts import facts_kept, need_by
from programs.models import StrengthEstimate
from programs.services import record_test
from tests.factories.clients import ClientFactory, HouseRuleFactory
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import MONDAY, ExerciseFactory, PlannedSessionFactory, ProgramFactory

ORDER = reverse("logs:rule_order")
pytestmark = pytest.mark.django_db
# Weights, counts that are capped, thresholds, and one that was left out because it weighed nothing.
CHANGES = [
    {"need_missed": 0.5}, {"need_missed_most": 1}, {"need_message": 90, "need_missed": 0},
    {"need_silent_days": 3, "need_silent": 300}, {"need_no_program": 200, "need_stalled_chance": 0.3},
    {"need_trend_sets": 50}, {"need_silent": 60},
]  # fmt: skip


@pytest.fixture
def six(desk):
    """Missed sessions, a message, no programme, strength that falls, nothing at all, and rules of one's own."""
    made = [ClientFactory(coach=desk, name=name) for name in ("Amara", "Bo", "Cleo", "Dag", "Eva", "Finn")]
    for client, starts in zip(made, (2, 2, None, 1, 0, 2), strict=True):
        if starts is not None:
            start = MONDAY - timedelta(weeks=starts)
            program = ProgramFactory(client=client, coach=desk, start_on=start, weeks=8)
            for week_no in range(1, 9):
                for day in (0, 3):
                    PlannedSessionFactory(program=program, week_no=week_no, day=day, name="Upper A")
    ClientMessage.objects.create(client=made[1], text="Knee is sore.", sent_at=NOON)
    press = ExerciseFactory(name="Bench press")
    record_test(by=desk, client=made[3], exercise=press, load=100_000, unit="kg", reps=1, on=MONDAY)
    StrengthEstimate.objects.filter(client=made[3]).update(p_rising=0.2, count=20)
    HouseRuleFactory(practice=desk.practice, client=made[5], name="need_missed", value=2)
    work_out(desk, made)
    return made


def work_out(desk, clients):
    services.refresh_needs(desk.practice, [one.pk for one in clients], TUESDAY)


def roster(desk):
    rows = roster_page(desk, today=TUESDAY).rows
    return {row.client.pk: (place, row.need.score) for place, row in enumerate(rows, start=1)}


@pytest.mark.parametrize("values", CHANGES, ids=str)
@pytest.mark.parametrize("own", [False, True], ids=["for everyone", "for one client"])
def test_the_order_told_is_the_one_that_comes(desk, six, now, values, own):
    of, before = six[5] if own else desk.practice, roster(desk)
    told = new_order(desk, of, values, today=TUESDAY)
    own_before = {row.name: row.value for row in six[5].house_rules.all()} if own else {}
    set_rules(by=desk, of=of, values=values, base={name: own_before.get(name) for name in values}, now=now)
    work_out(desk, six)
    after = roster(desk)
    moved = {move.client.pk: move for move in (*told.up, *told.down)}
    assert {pk for pk in after if after[pk][0] != before[pk][0]} == set(moved)
    for pk, move in moved.items():
        assert ((move.place, move.points), (move.then, move.points_then)) == (before[pk], after[pk])


def test_the_page_and_the_panel_say_who_moves_and_why(as_coach, desk, six):
    page = as_coach.get(ORDER, {"need_message": "0"}).content.decode()
    assert "Of 6 clients 1 would move up, 1 down, and 4 stay." in page
    assert f"1 message not answered: {DEFAULT.need_message} to 0" in page
    assert "House rules" in page
    panel = as_coach.get(ORDER, {"need_message": "0"}, headers={"HX-Request": "true"}).content.decode()
    assert "Of 6 clients 1 would move up" in panel
    assert "<html" not in panel
    assert "stays as it is" in as_coach.get(ORDER).content.decode()


def test_the_preview_of_weights_brings_it_along_and_that_of_other_rules_does_not(as_coach, desk, six):
    def preview(**typed):
        return as_coach.post(reverse("programs:rule_list"), {"do": "preview", **typed}).content.decode()

    assert f'hx-get="{ORDER}?need_message=500"' in preview(need_message="500", hours_apart="60")
    assert ORDER not in preview(hours_apart="60")
    own = reverse("logs:client_rule_order", args=[six[0].pk])
    typed = {"do": "preview", "need_missed": "7"}
    page = as_coach.post(reverse("programs:client_rules", args=[six[0].pk]), typed).content.decode()
    assert f'hx-get="{own}?need_missed=7"' in page


@pytest.mark.parametrize("odd", ["", "x", "\x00", "-1", "1e9", "٣", "9" * 100_000, "1,5"])
def test_what_is_typed_by_hand_is_read_or_left_out(as_coach, six, odd):
    answer = as_coach.get(ORDER, {"need_message": odd, "hours_apart": "1", "nothing": odd})
    assert answer.status_code == 200
    assert ("It was left out." in answer.content.decode()) is (odd not in ("", "1,5"))


def test_rows_that_are_not_worked_out_are_counted_and_left_out(as_coach, desk, six):
    ClientNeed.objects.filter(client=six[0]).update(on=None)
    ClientNeed.objects.filter(client=six[1]).delete()
    ClientNeed.objects.filter(client=six[2]).update(value={"v": 1, "reasons": []})
    order = new_order(desk, desk.practice, {"need_missed": 1}, today=TUESDAY)
    assert (order.clients, order.unknown) == (3, 3)
    assert "3 are still being worked out and left out." in as_coach.get(ORDER).content.decode()


def test_a_dozen_are_named_the_rest_counted_in_as_many_queries(as_coach, desk):
    counts = {}
    for many in (1, 25, 250):
        for n in range(ClientNeed.objects.count(), many):
            client = ClientFactory(coach=desk, name=f"Client {n:03}")
            facts = NeedFacts(missed=n % 5, planned=6, messages=n % 2)
            kept = facts_kept(facts, [])
            need = need_by(kept, DEFAULT)
            reasons = [[one.points, one.words, one.rule] for one in need.reasons]
            value = {"v": 2, "reasons": reasons, "facts": kept}
            ClientNeed.objects.create(client=client, on=TUESDAY, worked=1, score=1000 * need.score, value=value)
        with CaptureQueriesContext(connection) as queries:
            page = as_coach.get(ORDER, {"need_missed": "100", "need_message": "1"}).content.decode()
        counts[many] = len(queries)
    assert len(set(counts.values())) == 1
    assert counts[250] <= 10
    assert page.count('id="order-') == 2 + 12 + 12
    assert "not listed" in page


def test_facts_come_back_from_json_as_they_were():
    trends = [Trend("Bench press", 0.012345678901234, 9), Trend("Row", 0.9, 30)]
    facts = NeedFacts(
        stops=("One.",), checks=("Layoff", "Monotony"), no_maximum=2, has_program=False, missed=3, planned=6
    )
    need = need_by(facts_kept(facts, trends), DEFAULT)
    assert [one.rule for one in need.reasons] == [
        "need_stop", "need_missed", "need_no_program", "need_falling", "need_check", "need_no_maximum",
    ]  # fmt: skip
