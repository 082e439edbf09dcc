"""Who may do what: every route x persona x method x object. A route missing from the table fails."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from clients.models import Client
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory
from tests.factories.links import with_link
from tests.factories.logs import NOON
from tests.factories.practice import MembershipFactory, PracticeFactory
from tests.factories.whole import one_of_everything

pytestmark = pytest.mark.django_db

# kind of route -> what it takes: 'open' needs no sign-in; 'desk' no object; 'owner' none or one of the practice or of a
# client, and owners only;
# 'practice' an object of the practice that every member sees; 'client' an object that hangs on a client; 'actor' one's
# own act; 'link' a token in the address, whoever comes with it; 'phone' the link that the browser holds, which no
# sign-in replaces, and an object of its client. Methods: G reads, W a page with nothing but a form to write, P writes,
# p is a POST that changes nothing an assistant may not; L: open to an assistant who may log.
ROUTES: dict[str, tuple[str, str, str]] = {
    "backup_new": ("owner", "", "P"),
    "practice:sign_in": ("open", "", "GP"),
    "practice:sign_in_link": ("open", "token", "GP"),
    "practice:sign_out": ("desk", "", "p"),
    "practice:password_edit": ("desk", "", "Gp"),
    "practice:act_list": ("desk", "", "G"),
    "practice:act_undo": ("actor", "act", "P"),
    "logs:staff_list": ("owner", "", "G"),
    "logs:roster": ("desk", "", "G"),
    "logs:roster_act": ("desk", "", "P"),
    "logs:roster_act_detail": ("actor", "act", "G"),
    "logs:roster_view_new": ("desk", "", "P"),
    "logs:roster_view_remove": ("actor", "roster_view", "P"),
    "logs:rule_order": ("desk", "", "G"),
    "logs:client_rule_order": ("client", "client", "G"),
    "logs:session_log": ("client", "sheet", "GPL"),
    "logs:session_skip": ("client", "sheet", "PL"),
    "logs:session_log_detail": ("client", "session_log", "G"),
    "logs:session_log_changes": ("client", "session_log", "G"),
    "logs:session_log_estimates": ("client", "session_log", "G"),
    "logs:session_log_edit": ("client", "session_log", "PL"),
    "logs:session_log_undo": ("client", "session_log", "PL"),
    "logs:session_pain": ("client", "session_log", "PL"),
    "logs:extra_exercise": ("client", "session_log", "PL"),
    "logs:set_log": ("client", "session_log", "PL"),
    "logs:set_edit": ("client", "set_log", "GPL"),
    "logs:program_report": ("client", "program", "G"),
    "logs:block_report": ("client", "block", "G"),
    "logs:block_report_pdf": ("client", "block", "G"),
    "logs:block_report_edit": ("client", "block", "P"),
    "logs:client_sessions": ("client", "client", "G"),
    "logs:unplanned_session": ("client", "client", "WPL"),
    "logs:log_import": ("desk", "", "WP"),
    "logs:log_import_example": ("desk", "", "G"),
    "logs:log_import_detail": ("actor", "log_import", "G"),
    "logs:log_import_continue": ("actor", "log_import", "P"),
    "logs:log_import_undo": ("actor", "log_import", "P"),
    "logs:client_messages": ("client", "client", "G"),
    "logs:message_answer": ("client", "message", "P"),
    "logs:plan_gap_seen": ("client", "plan_gap", "P"),
    "logs:client_trends": ("client", "client", "G"),
    "logs:client_blocks": ("client", "client", "G"),
    "logs:client_effort": ("client", "client", "G"),
    "logs:muscle_list": ("desk", "", "G"),
    "logs:program_client_list": ("practice", "template", "G"),
    "logs:client_next_week": ("client", "client", "G"),
    "logs:next_week_apply": ("client", "client", "P"),
    "logs:next_week_dismiss": ("client", "client", "P"),
    "logs:next_week_undo": ("client", "client", "P"),
    "clients:staff_new": ("owner", "", "GP"),
    "clients:staff_edit": ("owner", "staff", "GP"),
    "clients:staff_person": ("owner", "staff", "GP"),
    "clients:staff_address": ("owner", "staff", "P"),
    "clients:staff_leave": ("owner", "staff", "GP"),
    "clients:staff_return": ("owner", "staff", "P"),
    "clients:client_handover": ("owner", "client", "GP"),
    "clients:handover_seen": ("client", "client", "P"),
    "clients:client_list": ("desk", "", "G"),
    "clients:client_new": ("desk", "", "WP"),
    "clients:client_detail": ("client", "client", "G"),
    "clients:client_edit": ("client", "client", "WP"),
    "clients:client_archive": ("client", "client", "P"),
    "clients:client_restore": ("client", "client", "P"),
    "clients:practice_export": ("desk", "", "W"),
    "clients:retention_list": ("desk", "", "W"),
    "clients:retention_edit": ("owner", "", "P"),
    "clients:client_keep": ("client", "client", "WP"),
    "clients:client_records": ("client", "client", "G"),
    "clients:client_export": ("client", "client", "W"),
    "clients:client_consent": ("client", "client", "WP"),
    "clients:consent_withdraw": ("client", "client", "P"),
    "clients:words_erase": ("client", "client", "P"),
    "clients:client_erase": ("client", "client", "WP"),
    "clients:screening_new": ("client", "client", "WP"),
    "clients:precaution_new": ("client", "client", "WP"),
    "clients:precaution_end": ("client", "precaution", "WP"),
    "clients:muscles_edit": ("client", "client", "WP"),
    "clients:client_links": ("client", "client", "G"),
    "clients:link_new": ("client", "client", "P"),
    "clients:link_rotate": ("client", "link", "P"),
    "clients:link_revoke": ("client", "link", "P"),
    "phone:today": ("phone", "", "G"),
    "phone:script": ("open", "", "G"),
    "phone:style": ("open", "", "G"),
    "phone:worker": ("open", "", "G"),
    "phone:queue": ("phone", "", "P"),
    "phone:message_new": ("phone", "", "P"),
    "phone:forget": ("phone", "", "P"),
    "phone:forgotten": ("open", "", "G"),
    "phone:session": ("phone", "sheet", "G"),
    "phone:entry_new": ("phone", "sheet", "P"),
    "phone:place": ("phone", "sheet", "GP"),
    "phone:shorter": ("phone", "sheet", "G"),
    "phone:swap": ("phone", "sheet_position", "G"),
    "clients:link_open": ("link", "link_token", "G"),
    "clients:place_list": ("desk", "", "G"),
    "clients:place_new": ("desk", "", "WP"),
    "clients:place_detail": ("practice", "place", "G"),
    "clients:place_edit": ("practice", "place", "WP"),
    "clients:equipment_start": ("practice", "place", "P"),
    "clients:equipment_new": ("practice", "place_kind", "WP"),
    "clients:equipment_edit": ("practice", "equipment", "WP"),
    "clients:equipment_remove": ("practice", "equipment", "P"),
    "programs:program_list": ("desk", "", "G"),
    "programs:program_new": ("desk", "", "WP"),
    "programs:program_detail": ("client", "program", "G"),
    "programs:program_edit": ("client", "program", "WP"),
    "programs:program_archive": ("client", "program", "P"),
    "programs:program_assign": ("client", "program", "WP"),
    "programs:program_template": ("client", "program", "P"),
    "programs:template_versions": ("practice", "template", "GP"),
    "programs:program_assign_many": ("practice", "template", "WP"),
    "programs:rollout_detail": ("actor", "rollout", "G"),
    "programs:rollout_cancel": ("actor", "rollout", "P"),
    "programs:rollout_continue": ("actor", "rollout", "P"),
    "programs:rollout_undo": ("actor", "rollout", "P"),
    "programs:version_restore": ("practice", "template_version", "P"),
    "programs:version_compare": ("practice", "template", "G"),
    "programs:version_apply": ("client", "copy", "WP"),
    "programs:program_undo": ("client", "program", "P"),
    "programs:program_redo": ("client", "program", "P"),
    "programs:week_place": ("client", "program", "P"),
    "programs:week_delete": ("client", "program", "P"),
    "programs:program_progression": ("client", "program", "WP"),
    "programs:block_list": ("client", "program", "G"),
    "programs:block_add": ("client", "program", "P"),
    "programs:block_split": ("client", "program", "P"),
    "programs:block_edit": ("client", "block", "P"),
    "programs:block_move": ("client", "block", "P"),
    "programs:block_duplicate": ("client", "block", "P"),
    "programs:block_delete": ("client", "block", "P"),
    "programs:session_place": ("client", "session", "P"),
    "programs:flag_apply": ("client", "program", "P"),
    "programs:flag_dismiss": ("client", "program", "P"),
    "programs:session_new": ("client", "program", "P"),
    "programs:session_edit": ("client", "session", "WP"),
    "programs:session_delete": ("client", "session", "P"),
    "programs:exercise_add": ("client", "session", "P"),
    "programs:sheet_issue": ("client", "session", "PL"),
    "programs:planned_exercise_edit": ("client", "planned", "P"),
    "programs:planned_exercise_swap": ("client", "planned", "WP"),
    "programs:planned_exercise_substitutes": ("client", "planned", "G"),
    "programs:planned_exercise_place": ("client", "planned", "WP"),
    "programs:planned_exercise_cue": ("client", "planned", "P"),
    "programs:planned_exercise_delete": ("client", "planned", "P"),
    "programs:sheet_detail": ("client", "sheet", "G"),
    "programs:sheet_pdf": ("client", "sheet", "G"),
    "programs:sheet_run_new": ("desk", "", "WPL"),
    "programs:sheet_run_detail": ("actor", "sheet_run", "G"),
    "programs:sheet_run_step": ("actor", "sheet_run", "PL"),
    "programs:sheet_run_cancel": ("actor", "sheet_run", "PL"),
    "programs:sheet_run_pdf": ("actor", "sheet_run", "G"),
    "programs:group_sheets": ("client", "group", "PL"),
    "programs:exercise_list": ("desk", "", "G"),
    "programs:exercise_detail": ("practice", "exercise", "G"),
    "programs:planned_exercise_scheme": ("client", "planned", "P"),
    "programs:scheme_list": ("desk", "", "G"),
    "programs:scheme_new": ("desk", "", "WP"),
    "programs:scheme_edit": ("practice", "scheme", "WP"),
    "programs:scheme_delete": ("practice", "scheme", "P"),
    "programs:scheme_compare": ("desk", "", "G"),
    "programs:client_programs": ("client", "client", "G"),
    "programs:client_strength": ("client", "client", "GP"),
    "programs:strength_best_delete": ("client", "client_best", "P"),
    "programs:strength_test_delete": ("client", "client_test", "P"),
    "programs:number_list": ("desk", "", "G"),
    "programs:rule_list": ("desk", "", "GP"),
    "programs:client_pain": ("client", "client", "G"),
    "programs:client_rules": ("client", "client", "GP"),
    "programs:evidence_list": ("desk", "", "G"),
    "programs:evidence_new": ("desk", "", "WP"),
    "programs:evidence_detail": ("practice", "evidence", "G"),
    "programs:evidence_edit": ("practice", "evidence", "WP"),
    "programs:evidence_delete": ("practice", "evidence", "P"),
    "programs:calendar_feed": ("link", "calendar_token", "G"),
    "programs:client_calendar": ("client", "client", "G"),
    "programs:calendar_undo": ("client", "client", "P"),
    "programs:calendar_redo": ("client", "client", "P"),
    "programs:calendar_flag_apply": ("client", "client", "P"),
    "programs:session_move": ("client", "session", "WP"),
    "programs:session_missed": ("client", "session", "WP"),
    "programs:absence_new": ("client", "client", "WP"),
    "programs:absence_edit": ("client", "absence", "WP"),
    "programs:absence_delete": ("client", "absence", "P"),
    "programs:client_date_new": ("client", "client", "WP"),
    "programs:client_date_detail": ("client", "client_date", "G"),
    "programs:client_date_edit": ("client", "client_date", "WP"),
    "programs:client_date_delete": ("client", "client_date", "P"),
    "programs:group_list": ("desk", "", "G"),
    "programs:group_new": ("desk", "", "WP"),
    "programs:group_detail": ("client", "group", "G"),
    "programs:group_edit": ("client", "group", "WP"),
    "programs:group_delete": ("client", "group", "P"),
    "programs:group_order": ("client", "group", "P"),
    "programs:group_undo": ("client", "group", "P"),
    "programs:client_import": ("desk", "", "WP"),
    "programs:client_import_example": ("desk", "", "G"),
}
MISSING = 2**31
# What must be posted for a route to find anything at all.
POSTED = {"clients:equipment_start": {"starting": "home"}}
# 'logger' is an assistant of the coach's who may log, 'helper' one of the colleague's; 'left' signed in, then left.
PERSONAS = (
    "anonymous", "holder", "left", "owner", "coach", "colleague", "assistant", "logger", "helper", "stranger",
    "other_owner",
)  # fmt: skip
OUTSIDE = ("anonymous", "holder", "left")
ABROAD = {"stranger", "other_owner"}
GOOD = {200, 302, 422, 409}


@dataclass
class Cast:
    """The cookies that each persona's browser holds, the ids of one object of each kind, and the coach's own."""

    cookies: dict[str, dict[str, str]]
    ids: dict[str, list[Any]]
    coach: int

    def browsers(self) -> dict[str, Browser]:
        """A browser for each persona, as it stood before any test."""
        made = {name: Browser() for name in self.cookies}
        for name, browser in made.items():
            browser.cookies.load(self.cookies[name])
        return made


def _signed_in(member: Any) -> Browser:
    browser = Browser()
    browser.force_login(member.user)
    return browser


def _cast() -> Cast:
    """The coach's client with one of everything; a colleague in the same practice; a stranger in another."""
    ours, theirs = PracticeFactory(name="North Hall"), PracticeFactory(name="South Hall")
    desk = MembershipFactory(practice=ours, user__name="Ana Reis")
    owner = MembershipFactory(practice=ours, user__name="Olu Mensah", owner=True)
    ids = one_of_everything(desk, NOON)
    colleague = MembershipFactory(practice=ours)
    assistant = MembershipFactory(practice=ours, user__name="Ida Holm", assistant=True)
    logger, helper = (MembershipFactory(practice=ours, assistant=True, may_log=True) for _ in range(2))
    assistant.assists.add(desk)
    logger.assists.add(desk)
    helper.assists.add(colleague)
    members = {
        "owner": owner, "coach": desk, "colleague": colleague, "assistant": assistant,
        "stranger": MembershipFactory(practice=theirs, user__name="Sam Stranger"),
        "logger": logger, "helper": helper, "left": MembershipFactory(practice=ours),
        "other_owner": MembershipFactory(practice=theirs, owner=True),
    }  # fmt: skip
    holder = with_link(Client.objects.get(pk=ids["client"][0]))
    browsers = {"anonymous": Browser(), "holder": holder, **{n: _signed_in(m) for n, m in members.items()}}
    Membership.objects.filter(pk=members["left"].pk).update(left_at=NOON)
    cookies = {name: {key: one.value for key, one in b.cookies.items()} for name, b in browsers.items()}
    return Cast(cookies, ids, desk.pk)


@pytest.fixture(scope="module")
def cast(made_once) -> Cast:
    return made_once(_cast)


def _names(resolver: Any, prefix: str = "") -> Iterator[str]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _names(entry, f"{entry.namespace}:" if entry.namespace else prefix)
        elif isinstance(entry, URLPattern):
            yield f"{prefix}{entry.name}"


def test_every_route_is_in_the_table():
    assert sorted(_names(get_resolver())) == sorted(ROUTES)


def expected(route: tuple[str, str, str], persona: str, method: str, exists: bool) -> set[int]:
    """The statuses that are right for this cell."""
    kind, thing, methods = route
    outside = persona in OUTSIDE and kind not in ("link", "phone")
    if method[0] not in methods.upper().replace("W", "G"):
        # Said before anything is looked up, so it tells nobody whether the object exists.
        return {405, 302} if outside else {405}
    if kind == "link":
        return {200, 302} if exists else {404}
    if kind == "phone":
        return GOOD if persona == "holder" and exists else {404}
    if kind == "open":
        return {200, 422}
    if outside:
        return {302}
    if kind == "owner" and persona not in ("owner", "other_owner"):
        # Said before anything is looked up.
        return {403}
    hidden = {
        "practice": ABROAD,
        "owner": ABROAD if thing else set(),
        "client": ABROAD | {"colleague", "helper"},
        "actor": ABROAD | {"colleague", "assistant", "logger", "helper"},
    }.get(kind, set())
    if persona in hidden or not exists:
        return {404}
    helps = persona == "assistant" or (persona in ("logger", "helper") and "L" not in methods)
    if helps and ("W" in methods or (method == "POST" and "p" not in methods)):
        return {403}
    return GOOD


def _cells(cast: Cast, name: str) -> Iterator[tuple[str, str, bool, str]]:
    kind, thing, _methods = ROUTES[name]
    for persona in PERSONAS:
        for method in ("GET", "POST"):
            yield persona, method, True, reverse(name, args=cast.ids[thing])
            if kind == "link":
                yield persona, method, False, reverse(name, args=["A" * 43])
            elif kind in ("practice", "client", "actor") or (kind in ("phone", "owner") and thing):
                yield persona, method, False, reverse(name, args=[MISSING, *cast.ids[thing][1:]])


@pytest.mark.parametrize("name", sorted(ROUTES))
def test_route_answers_each_persona_as_it_should(cast, name, record_property, django_db_blocker):
    from django.db import transaction

    wrong, count, browsers = [], 0, cast.browsers()
    for persona, method, exists, url in _cells(cast, name):
        browser = browsers[persona]
        send: Callable[..., Any] = browser.get if method == "GET" else browser.post
        with transaction.atomic():
            status = send(url, POSTED.get(name, {})).status_code
            transaction.set_rollback(True)  # each cell sees the same cast
        count += 1
        if status not in expected(ROUTES[name], persona, method, exists):
            wrong.append((persona, method, "ours" if exists else "missing", status))
    record_property("cells", count)
    assert not wrong


def _text(response: Any) -> str:
    """The page without its CSRF token, which is masked anew in every answer, and without the address asked for.

    Where a backup is overdue, its button brings an owner back to that address.
    """
    own = r'"X-CSRFToken": "\w+"|name="csrfmiddlewaretoken" value="\w+"|name="next" value="[^"]*"'
    return re.sub(own, "", response.content.decode())


def test_another_practices_object_and_a_missing_one_look_alike(cast):
    different, browsers = [], cast.browsers()
    for name, (kind, thing, methods) in ROUTES.items():
        if kind not in ("client", "practice", "actor") and not (kind == "owner" and thing):
            continue
        for method in [word for sign, word in (("GW", "get"), ("Pp", "post")) if set(sign) & set(methods)]:
            send = getattr(browsers["other_owner" if kind == "owner" else "stranger"], method)
            theirs = send(reverse(name, args=cast.ids[thing]))
            nobodys = send(reverse(name, args=[MISSING, *cast.ids[thing][1:]]))
            if (theirs.status_code, _text(theirs)) != (nobodys.status_code, _text(nobodys)):
                different.append((name, method))
    assert not different


def test_another_clients_object_and_a_missing_one_look_alike_to_who_holds_a_link(cast):
    holder, different = with_link(ClientFactory(coach=Membership.objects.get(pk=cast.coach))), []
    for name, (kind, thing, methods) in ROUTES.items():
        for send in (holder.get, holder.post) if kind == "phone" and thing else ():
            theirs = send(reverse(name, args=cast.ids[thing]))
            nobodys = send(reverse(name, args=[MISSING, *cast.ids[thing][1:]]))
            if theirs.status_code not in (404, 405) or (theirs.status_code, _text(theirs)) != (
                nobodys.status_code,
                _text(nobodys),
            ):
                different.append((name, send.__name__, methods))
    assert not different
