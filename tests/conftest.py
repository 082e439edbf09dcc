"""Fixtures that every test may use: a small cast of people, and a browser signed in as each."""

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any
from zlib import crc32

import hypothesis
import pytest
from django.conf import settings
from django.db import connection, transaction
from django.test import Client as Browser
from whitenoise.middleware import WhiteNoiseMiddleware
from xdist.scheduler import LoadFileScheduling

from clients.models import Client, Place
from coachdesk.management.memory import settle
from coachdesk.practice.models import Membership
from programs.services import load_library
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.links import with_link
from tests.factories.logs import NOON
from tests.factories.practice import MembershipFactory, PracticeFactory

# The same examples in every CI run, so that a change is judged by itself; at a desk new ones are tried every time.
hypothesis.settings.register_profile("ci", derandomize=True, deadline=None)
hypothesis.settings.register_profile("desk", deadline=None)
hypothesis.settings.load_profile("ci" if settings.ENV.ci else "desk")


# Playwright's sync API keeps an event loop running in this thread; the ORM is used between its calls, never inside.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser") or ""


# Begun first: a file stays with one worker, and a long one that begins last leaves the other worker idle.
LONG = (
    "browser/", "coachdesk/management/", "coachdesk/demo/", "programs/test_two_coaches.py", "programs/test_undo.py",
    "test_attack_", "engine/test_strength", "engine/test_remedies.py", "engine/test_properties.py",
    "logs/test_roster.py", "programs/test_long_program.py",
)  # fmt: skip

# Their tests share nothing, so they need not wait for one worker.
SPREAD, PARTS = ("browser/test_axe.py", "test_attack_faults.py", "test_attack_faults_plans.py"), 8


class ByFile(LoadFileScheduling):
    """A file's tests stay with one worker, but for a few long files that several share."""

    def _split_scope(self, nodeid: str) -> str:
        path = super()._split_scope(nodeid)
        return f"{path} {crc32(nodeid.encode()) % PARTS}" if path.endswith(SPREAD) else path


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile:
    """What hands tests to workers."""
    return ByFile(config, log)


def pytest_addoption(parser: pytest.Parser) -> None:
    """How much hostile input tests/test_attack_inputs.py and tests/test_attack_written.py send, and which."""
    parser.addoption("--inputs", type=int, default=150, help="hostile values to send (default 150)")
    parser.addoption("--seed", type=int, default=1, help="which ones (default 1)")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long files first. Without Chromium, browser tests are left out, which the summary says; in CI they fail.

    Full figures take long: each has a smaller count that every run tries, and runs itself by `-m figures` only.
    """
    if "figures" not in config.option.markexpr:
        items[:] = [item for item in items if not item.get_closest_marker("figures")]
    if connection.vendor != "postgresql":
        # Said by the summary: nothing is run on PostgreSQL without it.
        items[:] = [item for item in items if not item.get_closest_marker("postgres")]
    here = Path(__file__).parent
    items.sort(key=lambda item: not item.path.relative_to(here).as_posix().startswith(LONG))
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)
        if item.get_closest_marker("browser") and not CHROMIUM and not settings.ENV.ci:
            item.add_marker(pytest.mark.skip(reason="browser tests: no Chromium on this machine"))


def pytest_collection_finish() -> None:
    """Search for garbage as seldom as a started desk does: thousands of tests would be searched again and again."""
    settle()


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's Chromium, without its own look-ups on the network."""
    args = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
    return {"executable_path": CHROMIUM or "chromium", "args": args}


@pytest.fixture(scope="session", autouse=True)
def _static_files_found_once() -> Iterator[None]:
    """Every test's browser builds the middleware anew; what it finds in `static` is the same each time."""
    kept: dict[str, Any] = {}
    find = WhiteNoiseMiddleware.add_files_from_finders

    def found(middleware: WhiteNoiseMiddleware) -> None:
        if not kept:
            find(middleware)
            kept.update(middleware.files)
        middleware.files.update(kept)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", found)
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A database file of this run's own, so that two runs in one checkout leave each other alone."""
    if connection.vendor == "sqlite":
        settings.DATABASES["default"]["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")


@pytest.fixture(autouse=True)
def _in_the_foreground(settings: Any) -> None:
    """Long work is done before the page answers; a thread would not see what a test has not committed."""
    settings.WORK_BEHIND_PAGES = False


@pytest.fixture(autouse=True)
def _erased_ids_of_its_own(settings: Any, tmp_path: Path) -> None:
    """No test adds to the list of erased clients of the desk on this machine."""
    settings.ERASED_IDS = tmp_path / "erased-ids"


@pytest.fixture(autouse=True)
def _backups_of_its_own(settings: Any, tmp_path: Path) -> None:
    """No test's backup takes the place of one of the desk on this machine."""
    settings.BACKUPS = tmp_path / "backups"


@pytest.fixture
def now() -> datetime:
    """Tue 24 Nov 2026, noon."""
    return NOON


@pytest.fixture(autouse=True)
def _on_that_day(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The desk's clock stands at `now`, so that no test passes or fails by the day it is run on.

    A desk that a browser drives runs in a thread of this process; one in a process of its own has a clock of its own.
    """
    if "coachdesk/management" not in request.path.as_posix():
        monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)


def _commits(item: Any) -> bool:
    """Works outside a transaction of the test's own."""
    mark = item.get_closest_marker("django_db")
    asked = {"transactional_db", "live_server"} & set(getattr(item, "fixturenames", ()))
    return bool(asked or (mark and mark.kwargs.get("transaction")))


@pytest.fixture(scope="module")
def made_once(
    request: pytest.FixtureRequest,
    django_db_setup: None,
    django_db_blocker: Any,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[[Callable[[], Any]], Any]]:
    """Runs what makes the rows that every test of a module stands on, and gives what it gives.

    They lie in one transaction that the module's end takes back. Each test's own lies inside it and is taken back by
    the test's end, so each sees the rows as they were made. A module with tests that commit cannot have it.
    """
    assert not any(_commits(item) for item in request.session.items if item.path == request.path), request.path
    rows, folder = transaction.atomic(), tmp_path_factory.mktemp("module")
    with django_db_blocker.unblock():
        rows.__enter__()

    def made(make: Callable[[], Any]) -> Any:
        with django_db_blocker.unblock(), pytest.MonkeyPatch.context() as patch:
            patch.setattr("django.utils.timezone.now", lambda: NOON)
            patch.setattr(settings, "WORK_BEHIND_PAGES", False)
            patch.setattr(settings, "ERASED_IDS", folder / "erased-ids")
            patch.setattr(settings, "BACKUPS", folder / "backups")
            return make()

    yield made
    with django_db_blocker.unblock():
        transaction.set_rollback(True)
        rows.__exit__(None, None, None)


@pytest.fixture(scope="module")
def library(made_once: Callable[[Callable[[], Any]], Any]) -> None:
    """The exercises and evidence cards of the library."""
    made_once(load_library)


@pytest.fixture
def desk(db: None) -> Membership:
    """A coach."""
    return MembershipFactory(practice=PracticeFactory(name="North Hall"), user__name="Ana Reis")


@pytest.fixture
def owner(desk: Membership) -> Membership:
    """The owner of the coach's practice."""
    return MembershipFactory(practice=desk.practice, user__name="Olu Mensah", owner=True)


@pytest.fixture
def assistant(desk: Membership) -> Membership:
    """Assists the coach and only reads."""
    made = MembershipFactory(practice=desk.practice, user__name="Ida Holm", assistant=True)
    made.assists.add(desk)
    return made


@pytest.fixture
def stranger(db: None) -> Membership:
    """A coach of another practice."""
    return MembershipFactory(practice=PracticeFactory(name="South Hall"), user__name="Sam Stranger")


def _signed_in(member: Membership) -> Browser:
    browser = Browser()
    browser.force_login(member.user)
    return browser


@pytest.fixture
def as_coach(desk: Membership) -> Browser:
    """A browser signed in as the coach."""
    return _signed_in(desk)


@pytest.fixture
def as_owner(owner: Membership) -> Browser:
    """A browser signed in as the owner."""
    return _signed_in(owner)


@pytest.fixture
def as_assistant(assistant: Membership) -> Browser:
    """A browser signed in as the assistant."""
    return _signed_in(assistant)


@pytest.fixture
def as_stranger(stranger: Membership) -> Browser:
    """A browser signed in at another practice."""
    return _signed_in(stranger)


@pytest.fixture
def anonymous(db: None) -> Browser:
    """A browser that is not signed in."""
    return Browser()


@pytest.fixture
def linked(desk: Membership) -> Client:
    """A client of the coach, for whom `as_client` holds a link."""
    return ClientFactory(coach=desk, name="Vera Lindholm")


@pytest.fixture
def as_client(linked: Client) -> Browser:
    """A browser with the cookie of the link of `linked`."""
    return with_link(linked)


@pytest.fixture
def gym(desk: Membership) -> Place:
    """A place of the coach's practice with bar and plates, dumbbells, a stack and room for body-weight work."""
    place = PlaceFactory(practice=desk.practice, name="Full gym")
    EquipmentFactory(place=place)
    EquipmentFactory(place=place, dumbbells=True)
    EquipmentFactory(place=place, stack=True)
    EquipmentFactory(place=place, body_weight=True)
    return place


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """Say in one line how many cells of the access table were tried, and in another what was not run."""
    tried = [dict(one.user_properties).get("cells", 0) for some in ("passed", "failed")
             for one in terminalreporter.stats.get(some, [])]  # fmt: skip
    if sum(tried):
        wrong = len([one for one in terminalreporter.stats.get("failed", []) if "cells" in dict(one.user_properties)])
        told = f"{sum(tried)} cells of {len([n for n in tried if n])} routes, {wrong} routes with a wrong answer"
        terminalreporter.write_line(f"Access table: {told}.")
    left = {str(r.longrepr[2]).removeprefix("Skipped: ") for r in terminalreporter.stats.get("skipped", [])}
    if connection.vendor == "sqlite":
        left.add("the same tests on PostgreSQL: DATABASE_URL is not set")
    if left:
        terminalreporter.write_line(f"Not run: {'; '.join(sorted(left))}.")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """In CI a skipped test is a failed run."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter else []
    if settings.ENV.ci and skipped and exitstatus == 0:
        session.exitstatus = 1
