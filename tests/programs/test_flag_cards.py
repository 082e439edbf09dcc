"""Cards of flags that are kept between answers: the same as drawn anew, and each answer's own token."""

import re
from dataclasses import dataclass, replace
from typing import Any

import pytest
from django.template import RequestContext, Template
from django.urls import reverse

from coachdesk import engine
from programs.templatetags import flag_cards
from tests.factories.clients import ClientFactory
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory, scheme_json

pytestmark = pytest.mark.django_db
KEPT = Template('{% load flag_cards %}{% flag_card flag "/apply/" "/dismiss/" %}')
ANEW = Template(
    '{% include "components/_flag.html" with apply_url="/apply/" dismiss_url="/dismiss/" hx_target="#editor" %}'
)
TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="(\w+)"')


@dataclass(frozen=True)
class Shown:
    flag: engine.Flag
    where_words: str

    def __getattr__(self, name: str) -> Any:
        return getattr(self.flag, name)


@pytest.fixture
def program(desk):
    client = ClientFactory(coach=desk)
    made = ProgramFactory(client=client, coach=desk)
    PlannedExerciseFactory(session=PlannedSessionFactory(program=made), scheme=scheme_json(reps="failure", sets="20"))
    return made


@pytest.fixture
def flags(program):
    from programs.selectors import program_view

    return program_view(program, client=program.client, on=program.start_on).flags


def context_of(rf, desk, flag, **more):
    request = rf.get("/")
    request.desk = desk
    return RequestContext(request, {"flag": flag, **more})


def plain(html):
    return TOKEN.sub("", html)


def test_a_kept_card_is_as_drawn_anew_and_follows_what_it_shows(rf, desk, program, flags):
    assert len(flags) > 2
    for flag in flags:
        for words in ("Mon Upper A", "Bench press <b>"):
            shown = [Shown(flag, words), Shown(flag, words), Shown(replace(flag, source="Another source"), words)]
            for one in shown:
                for client in (None, program.client):
                    kept = KEPT.render(context_of(rf, desk, one, client=client))
                    assert plain(kept) == plain(ANEW.render(context_of(rf, desk, one, client=client)))
                    assert flag.id in kept


def test_every_answer_carries_its_own_token(as_coach, as_owner, program):
    path = reverse("programs:program_detail", args=[program.pk])
    pages = [browser.get(path).content.decode() for browser in (as_coach, as_owner, as_coach)]
    for page in pages:
        cards = page.split('<div class="flags">')[1].split("</section>")[0]
        found = set(TOKEN.findall(cards))
        assert len(found) == 1
        assert found <= set(TOKEN.findall(page.split('id="effects"')[0]))
        assert flag_cards._TOKEN not in page
    assert len({TOKEN.search(page)[1] for page in pages}) == 3


def test_no_more_cards_are_kept_than_there_is_room_for(rf, desk, flags, monkeypatch):
    monkeypatch.setattr(flag_cards, "MOST_KEPT", 3)
    for number in range(10):
        KEPT.render(context_of(rf, desk, Shown(flags[0], f"Session {number}")))
        assert len(flag_cards._kept) <= 3
