"""Hostile input on every form and address: no server error, and what is stored is what was typed.

`python -m pytest tests/test_attack_inputs.py --inputs 100000` sends that many; without it a share that CI has time for.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from clients.models import Client
from tests.factories.links import with_link
from tests.factories.logs import NOON
from tests.factories.practice import MembershipFactory
from tests.factories.whole import one_of_everything
from tests.hostile.attack import Attack, taken_back
from tests.hostile.pages import UNSENT, Form, different, names_asked_for, read_page
from tests.test_access import MISSING, ROUTES

pytestmark = pytest.mark.django_db

GETS = sorted(name for name, (_, _, methods) in ROUTES.items() if set("GW") & set(methods))
POSTS = sorted(name for name, (_, _, methods) in ROUTES.items() if set("Pp") & set(methods))

# Addresses whose page shows forms that the plain one does not.
MORE = {
    "programs:program_detail": "?session={session}", "logs:session_log": "?again=1",
    "programs:planned_exercise_swap": "?exercise={exercise}&scope=session&from_week=1&show=1",
    "programs:program_progression": "?kind=sets&scope=all&from_week=1&to_week=4&every=1&raise_by=1&show=1",
    "programs:program_assign_many": "?edit=1",
}  # fmt: skip


class Targets:
    """Every form by its route and every parameter by its route: off the pages, and by what the views ask for."""

    def __init__(self, browser: Browser, ids: dict[str, list[Any]]) -> None:
        self.ids, found = ids, list[Form]()
        self.parameters: dict[str, set[str]] = {}
        for name in GETS:
            for query in ("", MORE[name].format(**{k: v[0] for k, v in ids.items() if v})) if name in MORE else ("",):
                answer = browser.get(self.path(name) + query, follow=True)
                if not answer["Content-Type"].startswith("text/html"):
                    continue  # a file
                forms, parameters = read_page(self.path(name), answer.content.decode())
                found += forms
                for route, names in parameters.items():
                    self.parameters.setdefault(route, set()).update(names)
        self.forms: dict[str, list[Form]] = {}
        for form in different(found):
            self.forms.setdefault(form.route, []).append(form)
        self._ask(browser)

    def path(self, name: str) -> str:
        return reverse(name, args=self.ids[ROUTES[name][1]])

    def _ask(self, browser: Browser) -> None:
        """Send each route nothing and note what it asks for: fields that no page showed are attacked as well."""
        for name in POSTS:
            asked = sorted(
                names_asked_for(lambda name=name: taken_back(browser, lambda: browser.post(self.path(name)))) - UNSENT
            )
            forms = self.forms.setdefault(name, [Form(self.path(name), "post", name)])
            for form in forms:
                form.pairs += [(one, "") for one in asked if one not in form.names and len(form.names) < 200]
        for name in GETS:
            asked = names_asked_for(lambda name=name: taken_back(browser, lambda: browser.get(self.path(name))))
            self.parameters.setdefault(name, set()).update(asked - UNSENT)


@dataclass
class Stage:
    """What is attacked, by a browser that holds these cookies, with these ids of others and of what never was."""

    targets: Targets
    cookies: dict[str, str]
    ids: list[str]


def _stage() -> Stage:
    desk, stranger = MembershipFactory(user__name="Ana Reis"), MembershipFactory(user__name="Sam Stranger")
    ids, theirs = one_of_everything(desk, NOON), one_of_everything(stranger, NOON)
    browser = Browser()
    browser.force_login(desk.user)
    # The same browser holds the link of the coach's client, so that the client's own pages are attacked as well.
    browser.cookies.update(with_link(Client.objects.get(pk=ids["client"][0])).cookies)
    cookies = {key: one.value for key, one in browser.cookies.items()}
    others = sorted({str(one) for some in theirs.values() for one in some} | {str(MISSING), str(2**63), "-1"})
    return Stage(Targets(browser, ids), cookies, others)


@pytest.fixture(scope="module")
def stage(made_once):
    """Finding every form and field takes ten seconds, and attacks take back what they do."""
    return made_once(_stage)


@pytest.fixture
def targets(stage):
    return stage.targets


@pytest.fixture
def attack(stage, request):
    browser = Browser()
    browser.cookies.load(stage.cookies)
    return Attack(browser, stage.ids, seed=request.config.getoption("--seed"))


def test_every_route_that_takes_input_is_attacked(targets):
    assert sorted(set(POSTS) - set(targets.forms)) == []
    assert sorted(set(GETS) - set(targets.parameters)) == []
    # The others are buttons: a page whose fields were not found would be attacked with nothing.
    assert sum(any(form.names for form in targets.forms[name]) for name in POSTS) > len(POSTS) * 2 / 3


def run(attack: Attack, turns: list[Callable[[], None]], share: float, request: Any, record: Any) -> None:
    """Turn by turn until so many values were sent; what was wrong is the answer."""
    most = max(1, round(share * request.config.getoption("--inputs")))
    tally, told = attack.tally, 0
    while tally.inputs < most:
        for turn in turns:
            turn()
        if tally.requests > told + 1000:
            told = tally.requests
            print(f"so far {tally.inputs} inputs in {told} requests, {len(tally.errors)} errors", flush=True)
    for name in ("inputs", "requests"):
        record(name, getattr(tally, name))
    print(f"{tally.inputs} inputs in {tally.requests} requests: {dict(sorted(tally.statuses.items()))}")
    assert tally.errors == {}
    assert tally.altered == {}


def test_no_form_breaks_the_desk_or_keeps_anything_else_than_was_typed(targets, attack, request, record_property):
    turns = [lambda form=form: attack.form(form) for name in POSTS for form in targets.forms[name]]
    run(attack, turns, 0.85, request, record_property)


def test_no_address_breaks_the_desk(targets, attack, request, record_property):
    known = {name: sorted(names) for name, names in targets.parameters.items() if names and name in ROUTES}
    turns = [lambda name=name, names=names: attack.address(targets.path(name), names) for name, names in known.items()]
    run(attack, turns, 0.15, request, record_property)
