"""House rules: the page for everyone and for one client, the preview, saving, undo, and what follows from them."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients import mapping
from clients.forms import RuleForm
from clients.models import HouseRule
from clients.rule_texts import read_rule, rule_spec, rule_text
from clients.selectors import rule_lines
from coachdesk.engine import DEFAULT
from coachdesk.engine.number_words import WORDS, rule_names
from programs.logs.models import MuscleWeek
from programs.selectors import program_view
from tests.factories.clients import ClientFactory, HouseRuleFactory, ScreeningFactory
from tests.factories.logs import IssuedSheetFactory, drop_set, exercise_body, logged
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
RULES = reverse("programs:rule_list")


def post(browser, url=RULES, do="preview", lines_of=None, **typed):
    """Post the page with these rules typed, as the page shows the rest."""
    data = {"do": do}
    for row in RuleForm(lines=rule_lines(lines_of)).rows:
        data[row.spec.name] = data[f"was_{row.spec.name}"] = row.line.own
    return browser.post(url, {**data, **typed})


def saved(browser, of, url=RULES, **typed):
    """Preview, then save what was previewed."""
    shown = post(browser, url, lines_of=of, **typed)
    assert shown.status_code == 200
    return post(browser, url, "save", of, seen=shown.context["form"].seen, **typed)


def busy_client(desk, name="Vera Lindholm", sets="12"):
    """An intermediate with `sets` sets of a press for the chest this week: the band is 6 to 16."""
    client = ClientFactory(coach=desk, name=name)
    ScreeningFactory(client=client)
    program = ProgramFactory(coach=desk, client=client, start_on=MONDAY)
    session = PlannedSessionFactory(program=program)
    scheme = scheme_json(sets=sets, load_kind="effort", load_value="", rir="2")
    PlannedExerciseFactory(session=session, exercise=ExerciseFactory(), scheme=scheme)
    return client


@pytest.mark.parametrize("name", rule_names())
def test_every_rule_has_words_and_its_default_reads_back(name):
    assert name in WORDS
    spec = rule_spec(name)
    assert spec.words
    assert all(source and basis for source, basis in spec.basis)
    value = read_rule(name, spec.default)
    assert rule_text(name, value) == rule_text(name, getattr(DEFAULT, name)) == spec.default


def test_the_page_shows_each_rule_with_default_and_basis(as_coach):
    text = as_coach.get(RULES).content.decode()
    assert "Between two hard sessions of a muscle" in text
    assert "Garber CE et al 2011" in text
    assert "6-16" in text
    assert "common practice" in text


def test_saving_sets_the_rule_for_everyone_and_undo_takes_it_back(as_coach, desk):
    client = ClientFactory(coach=desk)
    assert saved(as_coach, desk.practice, hours_apart="60", resolve_above="4").status_code == 302
    rules = mapping.house_rules(client)
    assert (rules.hours_apart, rules.resolve_above) == (60, 0.04)
    mapping.forget_rules(client)
    assert as_coach.post(RULES, {"do": "undo"}).status_code == 302
    assert mapping.house_rules(client) is DEFAULT
    mapping.forget_rules(client)
    as_coach.post(RULES, {"do": "redo"})
    assert mapping.house_rules(client).hours_apart == 60


def test_a_blank_field_goes_back_to_the_default(as_coach, desk):
    HouseRuleFactory(practice=desk.practice)
    assert saved(as_coach, desk.practice, hours_apart="").status_code == 302
    assert not HouseRule.objects.exists()


def test_the_button_of_a_rule_previews_going_back(as_coach, desk):
    HouseRuleFactory(practice=desk.practice)
    response = post(as_coach, lines_of=desk.practice, back="hours_apart")
    assert response.context["form"].values == {"hours_apart": None}
    assert HouseRule.objects.count() == 1


def test_nothing_is_saved_that_was_not_previewed(as_coach, desk):
    shown = post(as_coach, lines_of=desk.practice, hours_apart="60")
    seen = shown.context["form"].seen
    other = post(as_coach, RULES, "save", desk.practice, seen=seen, hours_apart="61")
    assert other.status_code == 200
    assert other.context["preview"]
    assert not HouseRule.objects.exists()


@pytest.mark.parametrize(
    ("name", "typed", "right"),
    [
        ("hours_apart", "two days", "write one such as 48"),
        ("hours_apart", "400", "write 0 to 336"),
        ("hours_apart", "-1", "write 0 to 336"),
        ("hours_apart", "nan", "write one such as 48"),
        ("hours_apart", "1e400", "write one such as 48"),
        ("hours_apart", "４８", "write one such as 48"),
        ("band_novice", "12", "such as 6-16"),
        ("band_novice", "12-4", "write the least first"),
        ("band_novice", "4-900", "900 sets a week is outside the range; write 0 to 60"),
        ("warmup", "50", "such as 50 x 8"),
        ("warmup", "50 x 8, 300 x 4", "it should be a number from 0.05 to 1"),
        ("curve", "nearest", "choose one of handbook"),
        ("resolve_above", "x" * 90, "at most 80 characters"),
    ],
)
def test_a_bad_value_is_refused_at_its_field(as_coach, desk, name, typed, right):
    response = post(as_coach, lines_of=desk.practice, **{name: typed})
    assert response.status_code == 422
    words = " ".join(response.context["form"].errors[name])
    assert right in words
    assert any(part in words for part in (typed, typed.split(", ")[-1], typed.split("-")[-1], "90"))
    assert not HouseRule.objects.exists()


def test_a_page_that_lost_its_values_says_so(as_coach, desk):
    response = post(as_coach, lines_of=desk.practice, was_hours_apart="nonsense", hours_apart="60")
    assert response.status_code == 422
    assert "open it again" in response.content.decode()


def test_decimal_comma_is_read(as_coach, desk):
    saved(as_coach, desk.practice, half_life_careful="1,5")
    assert HouseRule.objects.get().value == 1.5


def test_two_coaches_on_one_rule_are_both_shown(as_coach, as_owner, desk):
    shown = post(as_coach, lines_of=desk.practice, hours_apart="60", older_age="70")
    saved(as_owner, desk.practice, hours_apart="72", rir_missed="3")
    stale = {"hours_apart": "60", "was_hours_apart": "", "older_age": "70", "rir_missed": "", "was_rir_missed": ""}
    response = post(as_coach, RULES, "save", desk.practice, seen=shown.context["form"].seen, **stale)
    text = response.content.decode()
    assert response.status_code == 409
    assert "saved now: 72" in text
    assert "you typed: 60" in text
    assert HouseRule.objects.get(name="hours_apart").value == 72
    again = {**response.context["form"].data, "do": "save", "seen": response.context["seen"], "take": ["hours_apart"]}
    assert as_coach.post(RULES, again).status_code == 302
    found = {row.name: row.value for row in HouseRule.objects.all()}
    assert found == {"hours_apart": 72, "rir_missed": 3, "older_age": 70}


def test_the_preview_counts_flags_now_and_after_and_names_the_client(as_coach, desk, now):
    busy_client(desk)
    busy_client(desk, name="Otto Brand", sets="6")
    response = post(as_coach, lines_of=desk.practice, band_intermediate="4-10")
    preview = response.context["preview"]
    change = next(one for one in preview.changes if one.words == "Sets above band")
    assert (preview.clients, change.now, change.after) == (2, 0, 1)
    assert (change.more, change.fewer) == (("Vera Lindholm",), ())
    assert [one.words for one in preview.moving] == ["Sets above band"]
    (row,) = response.context["form"].changed_rows
    assert (row.line.present, row.wanted) == ("6-16", "4-10")


def test_going_back_previews_the_default_and_for_a_client_what_holds_for_everyone(as_coach, desk):
    client = ClientFactory(coach=desk)
    HouseRuleFactory(practice=desk.practice, value=60)
    HouseRuleFactory(practice=desk.practice, client=client, value=72)
    everyone = post(as_coach, lines_of=desk.practice, back="hours_apart").context["form"].changed_rows
    url = reverse("programs:client_rules", args=[client.pk])
    one = post(as_coach, url, lines_of=client, back="hours_apart").context["form"].changed_rows
    assert [(row.line.present, row.wanted) for row in (*everyone, *one)] == [("60", "48"), ("72", "60")]


def test_a_clients_rule_beats_everyones_and_reaches_the_programme(as_coach, desk):
    client = busy_client(desk)
    url = reverse("programs:client_rules", args=[client.pk])
    HouseRuleFactory(practice=desk.practice, name="band_intermediate", value=[4, 10])
    program = client.programs.get()
    on = date(2026, 11, 24)
    assert "sets_above_band" in {f.code for f in program_view(program, client=client, on=on).flags}
    mapping.forget_rules(client)
    assert saved(as_coach, client, url, band_intermediate="4-30").status_code == 302
    fresh = type(client).objects.get(pk=client.pk)
    assert "sets_above_band" not in {f.code for f in program_view(program, client=fresh, on=on).flags}
    assert "set for everyone" not in as_coach.get(url).content.decode()


def test_a_rule_of_counting_counts_the_logged_weeks_anew_and_undo_too(as_coach, desk):
    client = ClientFactory(coach=desk)
    sheet = IssuedSheetFactory(client=client, exercises=[exercise_body(ExerciseFactory(), 1, steps=drop_set())])
    logged(sheet, by=desk)
    before = MuscleWeek.objects.get(client=client, muscle="chest").sets
    saved(as_coach, desk.practice, drop_adds="0")
    assert MuscleWeek.objects.get(client=client, muscle="chest").sets == 1000 < before
    as_coach.post(RULES, {"do": "undo"})
    assert MuscleWeek.objects.get(client=client, muscle="chest").sets == before


def test_an_assistant_reads_and_does_not_write(as_assistant, desk):
    page = as_assistant.get(RULES).content.decode()
    assert "Between two hard sessions" in page
    assert 'name="do"' not in page
    assert post(as_assistant, lines_of=desk.practice, hours_apart="60").status_code == 403


def test_the_number_of_queries_of_a_preview_does_not_grow(as_coach, desk):
    def count():
        with CaptureQueriesContext(connection) as queries:
            assert post(as_coach, lines_of=desk.practice, hours_apart="60").status_code == 200
        return len(queries)

    busy_client(desk, name="A")
    at_1 = count()
    for n in range(6):
        client = busy_client(desk, name=f"B{n}")
        HouseRuleFactory(practice=desk.practice, client=client, name="older_age", value=60 + n)
    assert count() == at_1
