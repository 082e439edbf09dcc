"""Evidence cards: shipped facts agree with the published values, filters, fit to a client, own cards and copies."""

import csv
import re
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.services.stale import StaleForm
from programs.evidence import services
from programs.evidence.codes import ALIASES, all_codes
from programs.evidence.fit import card_fit, differences
from programs.evidence.forms import CardForm
from programs.evidence.selectors import Wanted, card_rows
from programs.library.entry import PATTERNS
from programs.library.evidence import CARDS
from programs.models import EvidenceCard
from programs.services import load_library
from tests.factories.clients import ClientFactory, PrecautionFactory
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import EvidenceCardFactory, ExerciseFactory

pytestmark = pytest.mark.django_db
LIST = reverse("programs:evidence_list")
CARD = {card.code: card for card in CARDS}
# card, value, what it is, source, basis: copied from the publications or their reports, as each row says.
with (Path(__file__).parent / "data" / "evidence_facts.csv").open(newline="", encoding="utf-8") as file:
    FACTS = list(csv.DictReader(file))


def numbers(text):
    return {float(one.replace(",", "")) for one in re.findall(r"-?\d[\d,]*\.?\d*", text)}


@pytest.mark.parametrize("code", sorted({row["card"] for row in FACTS}))
def test_a_shipped_card_repeats_the_published_values(code):
    card, mine = CARD[code], [row for row in FACTS if row["card"] == code]
    said = {abs(x) for x in numbers(" ".join((card.outcome, card.protocol, card.who)))}
    published = {abs(float(x)) for row in mine for x in re.findall(r"\d+\.?\d*", row["value"])}
    assert all(row["source"] for row in mine)
    assert published <= said
    if any("secondary" in row["basis"] for row in mine):
        assert card.basis == "report"


@pytest.mark.parametrize("card", CARDS, ids=lambda card: card.code)
def test_a_shipped_card_is_whole_and_about_things_the_desk_knows(card):
    assert set(card.about.split()) <= set(all_codes())
    assert set(card.patterns.split()) <= set(PATTERNS)
    assert all((card.title, card.who, card.protocol, card.outcome, card.limits, card.citation))
    assert card.basis != "memory" or "from memory" in " ".join((card.who, card.citation, card.limits))


def test_there_are_forty_cards_and_loading_them_twice_changes_nothing():
    load_library()
    first = list(EvidenceCard.objects.order_by("id").values())
    load_library()
    assert list(EvidenceCard.objects.order_by("id").values()) == first
    assert len(first) == len(CARDS) == len(CARD) >= 40


def test_topics_that_a_coach_asks_about_have_a_card():
    asked = {
        "drop_set", "rest_pause", "cluster", "superset", "straight", "failure_for_untrained", "hours_apart",
        "rir_uninformative", "target_impossible", "layoff", "older_age", "session_sets", "monotony", "pain_rule",
        "sets_above_band", "screening_missing", "unaccustomed_volume", "over_time", "curve",
    }  # fmt: skip
    about = {code for card in CARDS for code in card.about.split()}
    assert asked <= about
    assert set(ALIASES.values()) <= about | {"maximum_old_days"}


def test_the_list_is_filtered_by_scheme_rule_and_population(desk):
    drop = EvidenceCardFactory()
    older = EvidenceCardFactory(about=["older_age"], age_low=65, age_high=None, training="mixed", sex="both")
    alike = card_rows(desk, Wanted())
    assert {card.pk for card in alike} == {drop.pk, older.pk}
    assert card_rows(desk, Wanted(scheme="drop_set")) == [drop]
    assert card_rows(desk, Wanted(scheme="light_to_heavy")) == [drop]
    assert card_rows(desk, Wanted(rule="older_age")) == [older]
    assert card_rows(desk, Wanted(rule="techniques_too_long")) == []
    assert card_rows(desk, Wanted(population="older")) == [older]
    assert card_rows(desk, Wanted(population="untrained")) == [older]
    assert card_rows(desk, Wanted(population="women")) == [older]
    assert len(card_rows(desk, Wanted(population="men"))) == 2
    assert card_rows(desk, Wanted(rule="no-such-thing")) == []


def verdicts(card, client, exercise=None):
    return {line.what: line.verdict for line in card_fit(card, client, TUESDAY, exercise)}


def test_a_client_unlike_the_studied_is_told_where(desk):
    card = EvidenceCardFactory()
    client = ClientFactory(coach=desk, level="novice", goal="health", born_on=TUESDAY.replace(year=1955))
    PrecautionFactory(client=client)
    row = ExerciseFactory(pattern="squat", name="Back squat")
    found = verdicts(card, client, row)
    assert found == {
        "Training age": "differs", "Age": "differs", "Sex": "not known", "Aim": "differs", "Exercise": "differs",
        "Health": "not known",
    }  # fmt: skip
    assert differences(card_fit(card, client, TUESDAY, row)) == 4


def test_a_client_like_the_studied_and_one_of_whom_little_is_known(desk):
    like = ClientFactory(coach=desk, level="advanced", goal="size", born_on=TUESDAY.replace(year=1998))
    assert set(verdicts(EvidenceCardFactory(sex="both"), like, ExerciseFactory()).values()) == {"alike"}
    unknown = EvidenceCardFactory(training="", age_low=None, age_high=None, sex="", measured="", patterns=[])
    found = verdicts(unknown, ClientFactory(coach=desk, born_on=None), ExerciseFactory())
    assert [found[name] for name in ("Training age", "Age", "Sex", "Exercise")] == ["not known"] * 4


def test_the_card_says_it_on_its_page(as_coach, desk):
    card, client = EvidenceCardFactory(), ClientFactory(coach=desk, name="Rolf Ostrander", level="novice")
    url = reverse("programs:evidence_detail", args=[card.pk])
    text = as_coach.get(url, {"for": client.pk}).content.decode()
    assert "Rolf Ostrander differs in 1" in text
    assert "not recorded here" in text
    for nonsense in ("x", "0", "9" * 18, "9" * 40, "-1"):
        assert as_coach.get(url, {"for": nonsense, "exercise": nonsense}).status_code == 200


def typed(card=None, **changed):
    form = CardForm(card=card)
    data = {name: field.value() for name, field in ((n, form[n]) for n in form.fields)}
    # A browser leaves out what is None or an empty list.
    return {name: value for name, value in {**data, **changed}.items() if value not in (None, [])}


WHOLE = {"title": "T", "who": "W", "protocol": "P", "outcome": "O", "limits": "L", "citation": "C", "basis": "seen"}


def test_a_coach_adds_a_card_that_another_practice_does_not_see(as_coach, as_stranger):
    response = as_coach.post(reverse("programs:evidence_new"), typed(**WHOLE, about=["drop_set"], n="12"))
    card = EvidenceCard.objects.get()
    assert response.status_code == 302
    assert (card.about, card.n, card.is_shipped) == (["drop_set"], 12, False)
    assert as_stranger.get(reverse("programs:evidence_detail", args=[card.pk])).status_code == 404


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"title": ""}, "This field is required"),
        ({"title": "x" * 161}, "at most 160 characters"),
        ({"about": ["nonsense"]}, "nonsense is not a scheme, flag or rule"),
        ({"n": "many"}, "no whole number"),
        ({"n": "0"}, "from 1 to 10000000"),
        ({"age_low": "70", "age_high": "20"}, "20 years is below the youngest, 70"),
        ({"basis": "heard"}, "heard"),
        ({"sex": "x"}, "x is not one of the choices"),
        ({"patterns": ["jump"]}, "jump is not a movement pattern"),
        ({"who": "a" + "\u0301" * 20}, "combining marks"),
    ],
)
def test_a_card_that_cannot_be_kept_says_why(as_coach, changed, words):
    response = as_coach.post(reverse("programs:evidence_new"), typed(**{**WHOLE, **changed}))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not EvidenceCard.objects.exists()


def test_changing_a_shipped_card_makes_a_copy_that_stands_in_for_it(as_coach, desk, stranger):
    shipped = EvidenceCardFactory(title="Shipped")
    url = reverse("programs:evidence_edit", args=[shipped.pk])
    assert as_coach.post(url, typed(shipped, title="Read again")).status_code == 302
    assert [card.title for card in card_rows(desk, Wanted())] == ["Read again"]
    assert [card.title for card in card_rows(stranger, Wanted())] == ["Shipped"]
    copy = EvidenceCard.objects.get(practice=desk.practice)
    assert copy.origin == shipped
    as_coach.post(reverse("programs:evidence_delete", args=[copy.pk]))
    assert [card.title for card in card_rows(desk, Wanted())] == ["Shipped"]


def test_a_shipped_card_cannot_be_removed(as_coach):
    shipped = EvidenceCardFactory()
    response = as_coach.post(reverse("programs:evidence_delete", args=[shipped.pk]), follow=True)
    assert "cannot be taken away" in response.content.decode()
    assert EvidenceCard.objects.count() == 1


def test_two_people_on_one_card_are_both_shown_and_other_fields_merge(as_coach, as_owner, desk):
    card = EvidenceCardFactory(practice=desk.practice)
    url = reverse("programs:evidence_edit", args=[card.pk])
    mine = typed(card, title="Mine", n="30")
    as_owner.post(url, typed(card, title="Theirs", limits="Very few people."))
    response = as_coach.post(url, mine)
    text = response.content.decode()
    assert response.status_code == 409
    assert "saved now: Theirs" in text
    assert "you typed: Mine" in text
    again = dict(response.context["form"].data.lists())
    assert as_coach.post(url, {**again, "take": ["title"]}).status_code == 302
    card.refresh_from_db()
    assert (card.title, card.n, card.limits) == ("Theirs", 30, "Very few people.")


def test_two_people_copying_one_shipped_card_do_not_make_two(desk, owner):
    shipped = EvidenceCardFactory()
    values = {name: getattr(shipped, name) for name in services.EDITABLE}
    services.edit_card(by=owner, card=shipped, version=1, values={**values, "title": "Theirs"}, now=NOON)
    with pytest.raises(StaleForm):
        services.edit_card(by=desk, card=shipped, version=1, values={**values, "title": "Mine"}, now=NOON)
    assert EvidenceCard.objects.count() == 2


@pytest.mark.parametrize("version", ["", "x", "-1", "7", "9" * 30])
def test_a_card_without_its_version_is_not_saved(as_coach, desk, version):
    card = EvidenceCardFactory(practice=desk.practice)
    url = reverse("programs:evidence_edit", args=[card.pk])
    assert as_coach.post(url, typed(card, title="Mine", version=version)).status_code == 422
    card.refresh_from_db()
    assert card.title != "Mine"


def test_the_links_of_a_page_take_one_query(rf, desk):
    from django.template import Context, Template

    EvidenceCardFactory.create_batch(5)
    request = rf.get("/")
    request.desk = desk
    page = "{% for code in codes %}{% include 'programs/_evidence_links.html' with key=forloop.counter %}{% endfor %}"
    codes = ["drop_set", "technique_share", "techniques_too_long", "nothing", "light_to_heavy"]
    with CaptureQueriesContext(connection) as queries:
        text = Template(page).render(Context({"request": request, "codes": codes}))
    assert len(queries) == 1
    assert text.count("Evidence: 5 cards") == 3


def test_the_number_of_queries_of_the_list_does_not_grow(as_coach):
    def count():
        with CaptureQueriesContext(connection) as queries:
            assert as_coach.get(LIST).status_code == 200
        return len(queries)

    EvidenceCardFactory()
    at_1 = count()
    EvidenceCardFactory.create_batch(20)
    assert count() == at_1 <= 10


def test_the_list_offers_flags_rules_and_numbers_under_headings(as_coach):
    page = as_coach.get(reverse("programs:evidence_list"), {"rule": "volume_jump"}).content.decode()
    assert '<optgroup label="Flags">' in page
    assert '<optgroup label="Schemes">' not in page
    assert '<option value="volume_jump" selected>' in page
    # each choice says by itself what it is about: none goes on from the one before it
    assert not re.findall(r"<option[^>]*>(?:and|or|the same|every)\b", page, re.IGNORECASE)
