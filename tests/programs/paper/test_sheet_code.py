"""The code of a session on its sheet: it leads to the client's own page, and the sheet stays on one side."""

from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse

from clients.models import ClientLink
from programs.paper.pages import page_of
from programs.paper.pdf import sheets_pdf
from programs.sheet_words import CODE_LABEL
from tests.factories.clients import ClientFactory, ClientLinkFactory
from tests.factories.links import with_link
from tests.factories.programs import ExerciseFactory
from tests.programs.paper.reading import reader, squeezed, tags, words_of
from tests.programs.paper.test_sheet_pdf import SIZES, longer
from tests.programs.paper.test_sheet_runs import begin, finish, planned_for
from tests.qr_reading import text_of

pytestmark = pytest.mark.django_db
BASE = "https://desk.example.org"


@pytest.fixture
def served(settings: Any) -> None:
    """A desk that others reach."""
    settings.ENV = replace(settings.ENV, served=True)


def svg_in(page: str) -> str:
    start = page.index(f'<svg role="img" aria-label="{CODE_LABEL.replace(chr(39), "&#x27;")}"')
    return page[start : page.index("</svg>", start)]


def figures(made: bytes) -> list[str]:
    return [alt for kind, alt in tags(made) if kind == "/Figure"]


@pytest.mark.usefixtures("served")
def test_the_code_on_a_sheet_is_its_clean_address_at_the_host_that_prints_it(as_coach, sheet):
    page = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    assert text_of(svg_in(page)) == f"http://testserver/my/sheets/{sheet.pk}/"
    assert "The code opens it on the phone that opened your link." in page


@pytest.mark.usefixtures("served")
def test_the_phone_that_holds_the_link_opens_what_the_code_says_and_no_other(as_coach, anonymous, sheet):
    page = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    path = text_of(svg_in(page)).removeprefix("http://testserver")
    assert with_link(sheet.client).get(path).status_code == 200
    told = anonymous.get(path)
    assert (told.status_code, "Open your link first" in told.content.decode()) == (404, True)
    assert with_link(ClientFactory(coach=sheet.client.coach)).get(path).status_code == 404


@pytest.mark.usefixtures("served")
def test_no_sheet_carries_a_token(as_coach, sheet):
    token = "Ab-_" * 10 + "xyz"
    link = ClientLinkFactory(client=sheet.client, token=token)
    for name in ("sheet_detail", "sheet_pdf"):
        said = as_coach.get(reverse(f"programs:{name}", args=[sheet.pk])).content
        assert token.encode() not in said
        assert ClientLink.objects.get(pk=link.pk).token_hash.encode() not in said


def test_a_desk_that_no_phone_reaches_prints_no_code_and_says_so(as_coach, sheet):
    page = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    assert 'class="qr"' not in page
    assert "this desk runs for this machine only" in page
    made = as_coach.get(reverse("programs:sheet_pdf", args=[sheet.pk])).content
    assert CODE_LABEL not in figures(made)
    assert squeezed("The code opens it") not in words_of(made)


@pytest.mark.usefixtures("served")
@pytest.mark.parametrize("paper", SIZES)
def test_the_pdf_has_the_code_as_a_figure_with_words(as_coach, sheet, paper):
    made = as_coach.get(reverse("programs:sheet_pdf", args=[sheet.pk]), {"paper": paper}).content
    assert figures(made).count(CODE_LABEL) == 1
    assert len(reader(made).pages) == 1
    assert squeezed("The code opens it on the phone") in words_of(made)


def test_the_code_on_paper_is_drawn_from_the_same_address(sheet):
    page = page_of(sheet, "Practice", "a4", BASE)
    assert text_of(page["code"]["svg"]) == f"{BASE}/my/sheets/{sheet.pk}/"


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize(("lifts", "steps", "sides"), [(1, 1, 1), (4, 3, 1), (6, 5, 1), (7, 5, 1), (8, 6, 2)])
def test_a_sheet_with_its_code_takes_no_more_sides_than_without(sheet, paper, lifts, steps, sides):
    page = page_of(longer(sheet, lifts, steps), "Practice", paper, BASE)
    made = sheets_pdf([page], title="Sheets", paper=paper)
    assert len(reader(made).pages) == sides
    assert words_of(made).count("25+2.5aside") == lifts * steps


@pytest.mark.usefixtures("served")
def test_each_sheet_of_a_run_has_its_own_code(as_coach, desk, gym, now):
    client = planned_for(desk, gym, "Anna Berg", ExerciseFactory(name="Bench press"), days=(0, 2, 4))
    run = finish(begin(as_coach, client), now)
    made = as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).content
    assert figures(made).count(CODE_LABEL) == len(reader(made).pages) == 3


@pytest.mark.usefixtures("served")
def test_a_host_that_the_desk_does_not_know_prints_no_code(as_coach, sheet):
    """A forged host must not put somebody else's address on paper."""
    answer = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk]), headers={"host": "evil.example"})
    assert answer.status_code == 400
    assert "evil" not in answer.content.decode()
