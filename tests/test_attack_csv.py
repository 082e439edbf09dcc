"""Bad CSV files at both imports: never an error of the desk, never a part imported, always said what is wrong."""

import re
from typing import Any

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from coachdesk.practice.models import Membership
from tests.factories.bad_files import CLIENTS, SETS, Kind, bad_cells, bad_files, bad_rows, bad_wholes
from tests.factories.clients import ClientFactory
from tests.factories.programs import ExerciseFactory

IMPORTS = {"sets": ("/sets/import/", SETS), "clients": ("/clients/import/", CLIENTS)}
LEAST = 200


@pytest.fixture
def browser(desk: Membership, as_coach: Browser) -> Browser:
    ExerciseFactory(name="Bench press")
    return as_coach


def counts() -> dict[str, int]:
    return {
        model._meta.label: model._default_manager.count()
        for model in apps.get_models()
        if "sessions" not in model._meta.label
    }


def hidden(page: str) -> dict[str, str]:
    found = dict(re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"', page))
    found.pop("csrfmiddlewaretoken", None)
    return found


def what_is_said(answer: Any) -> list[str]:
    """The whole file's problem in words, or 'line column value reason' of each error."""
    context = answer.context
    said = [" ".join(errors) for errors in context["form"].errors.values()]
    said += [context["problem"]] if context.get("problem") else []
    said += [context["seen"].problem] if context.get("seen") and context["seen"].problem else []
    for error in context.get("errors") or ():
        if error.line >= 2 and error.reason and (error.value or "blank" in error.reason or "NUL" in error.reason):
            said.append(f"{error.line} {error.column} {error.value} {error.reason}")
    return said


def faults(browser: Browser, url: str, files: Any) -> list[Any]:
    """What is wrong with the desk's answers, file by file."""
    wrong: list[Any] = []
    before = counts()
    for name, data in files:
        answer = browser.post(url, {"file": SimpleUploadedFile("bad.csv", data)})
        if answer.status_code != 422 or not what_is_said(answer):
            wrong.append((name, answer.status_code))
        sent = hidden(answer.content.decode())
        if "packed" in sent and browser.post(url, {**sent, "do": "import"}).status_code not in (409, 422):
            wrong.append((name, "was imported"))
        if counts() != before:
            wrong.append((name, "left rows behind"))
            before = counts()
    return wrong


@pytest.mark.parametrize("make", [bad_cells, bad_rows, bad_wholes])
@pytest.mark.parametrize("name", IMPORTS)
def test_every_bad_file_is_refused_with_words_and_nothing_is_written(
    browser: Browser, desk: Membership, name: str, make: Any, record_property: Any
) -> None:
    url, kind = IMPORTS[name]
    if kind is SETS:
        for one in ("Rosa Lind", "Tom Berg"):
            ClientFactory(coach=desk, name=one)
    files = list(make(kind))
    record_property("files", len(files))
    assert faults(browser, url, files) == []


def test_the_good_rows_of_the_corpus_are_good(browser: Browser, desk: Membership) -> None:
    """Else every file would be bad for the same reason."""
    for one in ("Rosa Lind", "Tom Berg"):
        ClientFactory(coach=desk, name=one)
    for url, kind in IMPORTS.values():
        text = kind.text({kind.heading[0]: "Tom Berg"})
        assert browser.post(url, {"file": SimpleUploadedFile("good.csv", text.encode())}).status_code == 200


@pytest.mark.parametrize("kind", [SETS, CLIENTS])
def test_the_corpus_is_large_enough_and_the_same_every_time(kind: Kind) -> None:
    files = bad_files(kind)
    assert len({name for name, _ in files}) == len(files) >= LEAST
    assert files == bad_files(kind)
