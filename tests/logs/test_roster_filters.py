"""The roster's filter: in the address, read strictly and kindly; views kept, shared, and outliving their coach."""

from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs import services
from programs.logs.models import ClientNeed, RosterView
from programs.logs.selectors import RosterFilter, roster_page
from programs.logs.services.roster_views import keep_view
from tests.factories.clients import ClientFactory, HouseRuleFactory, MarkedMuscleFactory, PrecautionFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, logged
from tests.factories.practice import MembershipFactory
from tests.factories.programs import PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db
HOME = "/"
KEEP = "logs:roster_view_new"


def found(browser, **asked):
    """Names on the page, in order."""
    response = browser.get(HOME, asked)
    assert response.status_code == 200
    return [row.client.name for row in response.context["page"].rows]


def problems(browser, **asked):
    return browser.get(HOME, asked).context["form"].problems


def test_clients_are_found_by_what_is_known_of_them(desk, as_coach):
    ending, idle = ClientFactory(coach=desk, name="Ending", goal="strength"), ClientFactory(coach=desk, name="Idle")
    template = ProgramFactory(coach=desk, name="Base")
    program = ProgramFactory(client=ending, coach=desk, start_on=TUESDAY - timedelta(days=1), origin=template)
    PlannedSessionFactory(program=program, week_no=1, day=3)
    PrecautionFactory(client=ending, code="no_overhead", muscle="chest")
    MarkedMuscleFactory(client=idle, muscle="lats")
    logged(IssuedSheetFactory(client=idle, for_on=TUESDAY - timedelta(days=9)), done_on=TUESDAY - timedelta(days=9))
    assert found(as_coach) == ["Idle", "Ending"]
    one = {
        "goal": "strength", "precaution": "no_overhead", "muscle": "chest", "program": "ending", "seen": "never",
    }  # fmt: skip
    for name, value in {**one, "precaution": "any", "program": str(template.pk)}.items():
        assert found(as_coach, **{name: value}) == ["Ending"], name
    assert found(as_coach, **one) == ["Ending"]
    for name, value in {"muscle": "lats", "program": "none", "seen": "7", "precaution": "none"}.items():
        assert found(as_coach, **{name: value}) == ["Idle"], name
    assert found(as_coach, seen="14") == []
    assert found(as_coach, muscle="lats", goal="strength") == []


def test_open_flags_are_filtered_by_severity_and_by_code(desk, as_coach):
    ClientFactory(coach=desk, name="Calm")
    flagged = ClientFactory(coach=desk, name="Flagged")
    as_coach.get(HOME)
    ClientNeed.objects.filter(client=flagged).update(codes=" check unrecovered ")
    assert found(as_coach, flag="check") == ["Flagged"]
    assert found(as_coach, flag="unrecovered") == ["Flagged"]
    assert found(as_coach, flag="stop") == []


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"goal": "fame"}, "Goal 'fame' is not known here, and was left out."),
        ({"muscle": "x" * 500}, f"Muscle '{'x' * 40}...' is not known here, and was left out."),
        ({"colour": "red"}, "'colour' is no filter of this page, and was left out."),
        ({"after": "tomorrow"}, "The page asked for is not known; this is the first one."),
        ({"after": "9" * 30}, "The page asked for is not known; this is the first one."),
        ({"coach": "1"}, "Coach '1' cannot be chosen by you, and was left out."),
        ({"seen": "\u0667"}, "Last logged '\u0667' is not known here, and was left out."),
        ({"program": "-1"}, "Programme '-1' is not known here, and was left out."),
    ],
)
def test_what_an_address_says_wrong_is_told_and_the_rest_applied(desk, as_coach, asked, said):
    ClientFactory(coach=desk, name="Strong", goal="strength")
    ClientFactory(coach=desk, name="Sizeable", goal="size")
    rest = {"q": "strong"}
    assert problems(as_coach, **asked, **rest) == [said]
    assert found(as_coach, **asked, **rest) == ["Strong"]


def test_many_strange_names_are_told_of_a_few(desk, as_coach):
    assert len(problems(as_coach, **{f"f{n}": "x" for n in range(300)})) == 6


@pytest.mark.parametrize("value", ["\x00", "%", "' OR 1=1 --", "\U0001f3cb", "\u0301" * 60, "0" * 9000, "<script>"])
@pytest.mark.parametrize("name", ["q", "coach", "goal", "flag", "muscle", "precaution", "program", "seen", "after"])
def test_no_value_of_any_field_breaks_the_page(desk, as_owner, name, value):
    ClientFactory(coach=desk, name="Amara Tolledo")
    page = as_owner.get(HOME, {name: value})
    assert page.status_code == 200
    assert "<script>" not in page.content.decode().split("</head>")[1]


def test_a_filter_of_another_practice_is_not_known(desk, stranger, as_owner):
    theirs = ProgramFactory(coach=stranger, name="Secret base")
    assert problems(as_owner, program=str(theirs.pk)) == [
        f"Programme '{theirs.pk}' is not known here, and was left out."
    ]
    assert "Secret base" not in as_owner.get(HOME).content.decode()


def test_pages_follow_each_other_without_gap_or_repeat(desk):
    for n in range(23):
        client = ClientFactory(coach=desk, name=f"Client {n % 7}")
        HouseRuleFactory(practice=desk.practice, client=client, name="need_no_program", value=60 + n % 3)
    services.bring_up_to_date(desk, TUESDAY)
    whole = [row.client.pk for row in roster_page(desk, today=TUESDAY).rows]
    seen, after = [], None
    while True:
        page = roster_page(desk, today=TUESDAY, after=after, limit=4)
        seen += [row.client.pk for row in page.rows]
        if not page.after:
            break
        score, pk = page.after.split("-")
        after = (int(score), int(pk))
    assert seen == whole
    assert len(whole) == 23


def test_a_page_behind_a_client_that_is_gone_begins_behind_their_score(desk, as_coach):
    ClientFactory(coach=desk, name="Amara Tolledo")
    as_coach.get(HOME)
    assert found(as_coach, after="60001-999999") == ["Amara Tolledo"]
    assert found(as_coach, after="60000-999999") == []


def test_another_practices_client_in_the_page_tells_nothing(desk, stranger, as_coach):
    ClientFactory(coach=desk, name="Amara Tolledo")
    theirs = ClientFactory(coach=stranger, name="Aaa")
    assert found(as_coach, after=f"60001-{theirs.pk}") == found(as_coach, after="60001-999999")


def test_words_are_found_whatever_their_case_and_accents(desk):
    ClientFactory(coach=desk, name="Zoë ŁUKASZ Straße")
    services.bring_up_to_date(desk, TUESDAY)
    for words in ("zoe", "ZOË", "strasse", "STRASSE zoe", "łukasz"):
        wanted = RosterFilter(query=words)
        assert len(roster_page(desk, today=TUESDAY, wanted=wanted).rows) == 1, words


def keep(browser, **posted):
    return browser.post(reverse(KEEP), posted)


def test_a_view_is_kept_shown_opened_and_removed(desk, as_coach):
    address = urlencode({"q": "Amara", "goal": "strength", "seen": "14"})
    answer = keep(as_coach, name="Strong and away", filters=address)
    assert (answer.status_code, answer["Location"]) == (302, f"/?{address}")
    view = RosterView.objects.get()
    assert view.filters == {
        "goal": {"value": "strength", "words": "strength"}, "seen": {"value": "14", "words": "14 days ago or more"},
    }  # fmt: skip
    page = as_coach.get(HOME).content.decode()
    assert "Strong and away" in page
    assert "?goal=strength&amp;seen=14" in page
    assert (
        'aria-current="page">Strong and away' in as_coach.get(HOME, {"goal": "strength", "seen": "14"}).content.decode()
    )
    assert as_coach.post(reverse("logs:roster_view_remove", args=[view.pk])).status_code == 302
    assert not RosterView.objects.exists()
    undo(Act.objects.latest("id"), by=desk)
    assert RosterView.objects.get().name == "Strong and away"


def test_the_same_name_again_changes_the_view(desk, as_coach):
    for goal in ("size", "strength"):
        keep(as_coach, name="Mine", filters=f"goal={goal}")
    assert RosterView.objects.get().filters["goal"]["value"] == "strength"


def test_a_view_without_a_name_is_refused_and_the_filter_stays(desk, as_coach):
    answer = keep(as_coach, name=" ", filters="goal=size", is_shared="on")
    assert answer.status_code == 422
    assert "Write a name for this view" in answer.content.decode()
    assert answer.context["form"].wanted.goal == "size"
    assert not RosterView.objects.exists()


@pytest.mark.parametrize("filters", ["goal=fame", "x" * 10**6, "\x00", "a=1&" * 5000, "coach=999"])
def test_nonsense_is_not_kept(desk, as_coach, filters):
    assert keep(as_coach, name="Odd", filters=filters).status_code in (302, 422)
    assert [view.filters for view in RosterView.objects.all()] in ([], [{}])


def test_shared_views_are_everybodys_to_use_and_the_owners_to_remove(desk, owner, as_owner, as_assistant):
    colleague = MembershipFactory(practice=desk.practice)
    keep_view(by=colleague, name="Theirs alone", filters={}, is_shared=False, now=NOON)
    shared = keep_view(by=colleague, name="For all", filters={}, is_shared=True, now=NOON)
    page = as_assistant.get(HOME).content.decode()
    assert "For all" in page
    assert "Theirs alone" not in page
    assert "Keep this view" not in page
    assert as_assistant.post(reverse("logs:roster_view_remove", args=[shared.pk])).status_code == 404
    assert keep(as_assistant, name="x", filters="").status_code == 403
    assert as_owner.post(reverse("logs:roster_view_remove", args=[shared.pk])).status_code == 302


def test_a_view_outlives_its_coach_and_says_so(desk, owner, as_coach, as_owner):
    gone = MembershipFactory(practice=desk.practice, user__name="Ines Prado")
    by_gone = {"coach": {"value": str(gone.pk), "words": "Ines Prado"}, "goal": {"value": "size", "words": "size"}}
    keep_view(by=gone, name="Theirs", filters=by_gone, is_shared=True, now=NOON)
    ClientFactory(coach=desk, name="Sizeable", goal="size")
    pk = gone.pk
    gone.delete()
    for browser in (as_coach, as_owner):
        assert "(Ines Prado, who has left)" in browser.get(HOME).content.decode()
    line = as_owner.get(HOME).context["views"][0]
    assert line.gone == ("Ines Prado has left",)
    assert found(as_owner, coach=str(pk), goal="size") == ["Sizeable"]
    said = f"Coach '{pk}' is not known here; that coach may have left, and was left out."
    assert problems(as_owner, coach=str(pk), goal="size") == [said]


def test_who_signs_in_no_more_has_left(desk, as_coach):
    gone = MembershipFactory(practice=desk.practice, user__name="Ines Prado")
    keep_view(by=gone, name="Theirs", filters={}, is_shared=True, now=NOON)
    assert "(Ines Prado)" in as_coach.get(HOME).content.decode()
    gone.user.is_active = False
    gone.user.save()
    assert "(Ines Prado, who has left)" in as_coach.get(HOME).content.decode()
