"""What the pages of handing out show: the choice of clients, and how far a rollout is."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.http import QueryDict

from clients.selectors import visible_clients, visible_places
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import coaches
from programs.bodies import Body
from programs.models import Program, Rollout, TemplateVersion
from programs.rollout.forms import NOW, ChooseForm
from programs.rollout.preview import Preview, preview
from programs.selectors.rollouts import copies_of
from programs.selectors.versions import is_saved, present_body, version_body

# A worker writes several times a second; one that has not for so long is gone with its process.
SILENT = timedelta(seconds=15)


@dataclass(frozen=True)
class ChoosePage:
    """The filter and, where the template has anything in it, the clients with what speaks against each."""

    form: ChooseForm
    preview: Preview | None
    version: TemplateVersion | None
    ticked: frozenset[int]

    @property
    def takes_present(self) -> bool:
        return self.form.of_value == NOW


def choose_page(
    template: Program, desk: Membership, today: date, asked: QueryDict, ticked: list[int] | None = None
) -> ChoosePage:
    """`asked`: the address; its `tick` is 'all' or 'clear' to tick those at once. `ticked`: as posted."""
    versions = list(template.versions.order_by("-number"))
    present = present_body(template)
    form = ChooseForm(
        asked, today=today, versions=versions,
        is_changed=bool(present.sessions) and not is_saved(present, versions[0] if versions else None),
        coaches=list(coaches(desk)) if desk.role == Membership.Role.OWNER else [], places=list(visible_places(desk)),
    )  # fmt: skip
    version = next((one for one in versions if str(one.number) == form.of_value), None)
    body: Body | None = version_body(version) if version else present if form.of_value == NOW else None
    if body is None:
        return ChoosePage(form, None, None, frozenset())
    found = preview(desk, body, form.start_on, form.wanted)
    rows = {"all": found.rows, "clear": [r for r in found.rows if r.is_clear]}.get(asked.get("tick", ""), [])
    wanted = ticked if ticked is not None else [row.client.pk for row in rows]
    return ChoosePage(form, found, version, frozenset(wanted))


@dataclass(frozen=True)
class RolloutPage:
    """How far it is. `is_dead`: said to run, but silent for too long. `kept`: copies that stay, with the reason."""

    rollout: Rollout
    is_running: bool
    is_dead: bool
    is_undone: bool
    left_out: list[tuple[str, str]]
    copies: list[Program]
    kept: list[tuple[Program, str]]
    seconds_left: int | None

    @property
    def handled(self) -> int:
        return self.rollout.total - len(self.rollout.waiting)

    @property
    def others(self) -> int:
        """How many copies could be taken back."""
        return len(self.copies) - len(self.kept)

    @property
    def can_continue(self) -> bool:
        return bool(self.rollout.waiting) and not self.is_running and not self.is_undone

    @property
    def can_undo(self) -> bool:
        return bool(self.copies) and not self.is_running and not self.is_undone


def rollout_page(
    rollout: Rollout, desk: Membership, now: datetime, *, kept: dict[int, str] | None = None
) -> RolloutPage:
    """Everything on the page; the copies only once it has stopped, as the page asks every second while it runs."""
    says = rollout.state == Rollout.State.RUNNING
    is_dead = says and now - rollout.beat_at > SILENT
    act = rollout.act
    copies = list(copies_of(act)) if act is not None and (is_dead or not says) else []
    return RolloutPage(
        rollout, says and not is_dead, is_dead, bool(act and act.is_undone), _left_out(rollout, desk), copies,
        [(one, (kept or {})[one.pk]) for one in copies if one.pk in (kept or {})], _left(rollout, now),
    )  # fmt: skip


def _left_out(rollout: Rollout, desk: Membership) -> list[tuple[str, str]]:
    """(name, why) of those who got none; somebody no longer visible is not named."""
    if not rollout.failed:
        return []
    names = dict(visible_clients(desk).filter(pk__in=[pk for pk, _ in rollout.failed]).values_list("pk", "name"))
    return [(names.get(pk, "One client"), why) for pk, why in rollout.failed]


def _left(rollout: Rollout, now: datetime) -> int | None:
    done, seconds = rollout.total - len(rollout.waiting), (rollout.beat_at - rollout.began_at).total_seconds()
    return round(seconds / done * len(rollout.waiting)) if done and seconds > 1 else None
