"""The sessions of a block's report in words: what was done besides the plan."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from programs.logs import services
from programs.logs.selectors import block_report
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import ExerciseFactory
from tests.factories.reports import START, four_weeks, train

pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def block(desk, press):
    return four_weeks(desk, press)


def report(block):
    return block_report(block, (1, block.weeks), today=TUESDAY)


def page(browser, block):
    return browser.get(reverse("logs:block_report", args=[block.pk])).content.decode()


def test_sessions_besides_the_plan_are_told_by_their_names(as_coach, block, press):
    client, by = block.program.client, block.program.coach
    train(block, 1, press)

    def besides(day, name):
        on = START + timedelta(days=day)
        services.open_session_log(by=by, client=client, key=uuid4(), done_on=on, now=NOON, name=name)

    besides(2, "Hotel gym")
    besides(3, "")
    said = "Besides the plan</dt><dd>Hotel gym, Wed 28 Oct; Session, Thu 29 Oct.</dd>"
    assert said in page(as_coach, block)
    for day in (4, 5, 9):
        besides(day, "Team training")
    assert report(block).sessions.besides_words == "Team training 3 x, Hotel gym 1 x, Session 1 x"
