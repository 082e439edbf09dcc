"""What the pages about versions show: the list, two states side by side, and what applying one would change."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from clients.mapping import house_rules
from coachdesk import engine
from coachdesk.practice.models import Membership
from programs.bodies import Body, Difference, differences, merge_bodies
from programs.bodies.three_way import Frozen, Merged
from programs.models import Program, Rollout, TemplateVersion
from programs.selectors.body_plans import plans_of, traits_of
from programs.selectors.prescription import NOBODY
from programs.selectors.versions import CopyRow, copy_rows, is_saved, present_body, version_body, version_rows
from programs.services.versions import fingerprint

NOW = "now"
ROLLOUTS = 10


@dataclass(frozen=True)
class VersionsPage:
    """A template's versions, newest first, what changed since the last, who runs it, and when it was handed out."""

    versions: list[TemplateVersion]
    latest: TemplateVersion | None
    changes: int
    sessions: int
    copies: list[CopyRow]
    rollouts: list[Rollout]

    @property
    def can_save(self) -> bool:
        return self.sessions > 0 and (self.latest is None or self.changes > 0)

    @property
    def next_number(self) -> int:
        return self.latest.number + 1 if self.latest else 1


def versions_page(template: Program, desk: Membership, today: date) -> VersionsPage:
    """Everything on the template's page of versions."""
    versions, body = list(version_rows(template, desk)), present_body(template)
    latest = versions[0] if versions else None
    changes = 0
    if latest is not None and not is_saved(body, latest):
        # What the words do not tell, such as numbering, is a change all the same.
        changes = len(differences(version_body(latest), body)) or 1
    rollouts = template.rollouts.select_related("by__user", "of", "act").order_by("-id")
    seen = rollouts if desk.role == Membership.Role.OWNER else rollouts.filter(by=desk)
    return VersionsPage(
        versions, latest, changes, len(body.sessions), copy_rows([template], desk, today), list(seen[:ROLLOUTS])
    )


@dataclass(frozen=True)
class Side:
    """One of the two states compared: its value in the form, its words, and the programme as it was."""

    value: str
    words: str
    body: Body


@dataclass(frozen=True)
class WeekChange:
    """Sets of one muscle in one week on both sides."""

    before: float
    after: float

    @property
    def difference(self) -> float:
        return round(self.after - self.before, 3)


@dataclass(frozen=True)
class MuscleChange:
    """One muscle over the weeks."""

    name: str
    weeks: tuple[WeekChange, ...]

    @property
    def moves(self) -> bool:
        return any(week.difference for week in self.weeks)


@dataclass(frozen=True)
class ComparePage:
    """Two states of a template side by side: in words, and in sets per muscle and week."""

    choices: list[tuple[str, str]]
    one: Side | None
    other: Side | None
    differences: list[Difference]
    muscles: list[MuscleChange]
    week_count: int

    @property
    def sides(self) -> list[tuple[str, Side | None]]:
        """(name of the field, what is chosen)."""
        return [("one", self.one), ("other", self.other)]

    @property
    def weeks(self) -> range:
        return range(1, self.week_count + 1)

    @property
    def moving(self) -> list[MuscleChange]:
        return [row for row in self.muscles if row.moves]

    @property
    def staying(self) -> list[MuscleChange]:
        return [row for row in self.muscles if not row.moves]


def compare_page(template: Program, desk: Membership, today: date, wanted: Mapping[str, str]) -> ComparePage:
    """`wanted`: 'one' and 'other', each a version's number, 'now', or 'copy-' and a programme's id."""
    versions = {str(one.number): one for one in version_rows(template, desk)}
    copies = {f"copy-{row.program.pk}": row.program for row in copy_rows([template], desk, today)}
    choices = [(number, f"version {number}") for number in versions]
    choices += [(NOW, "as it stands now")]
    choices += [(value, f"{row.client.name}, {row.name}") for value, row in copies.items() if row.client]
    sides = []
    for name, usual in zip(("one", "other"), _usual(list(versions)), strict=True):
        value = wanted.get(name) or usual
        sides.append(_side(value, dict(choices), template, versions, copies))
    one, other = sides
    if one is None or other is None:
        return ComparePage(choices, one, other, [], [], 0)
    named = not {one.value, other.value} & set(copies)
    changes, table = differences(one.body, other.body, named=named), _muscles(one.body, other.body, template)
    return ComparePage(choices, one, other, changes, table, max(one.body.weeks, other.body.weeks))


def _usual(numbers: list[str]) -> tuple[str, str]:
    """The last version and the present."""
    return (numbers[0] if numbers else NOW), NOW


def _side(
    value: str, words: Mapping[str, str], template: Program, versions: Mapping[str, TemplateVersion],
    copies: Mapping[str, Program],
) -> Side | None:  # fmt: skip
    if value not in words:
        return None
    if value in versions:
        return Side(value, words[value], version_body(versions[value]))
    return Side(value, words[value], present_body(copies.get(value, template)))


def _muscles(before: Body, after: Body, template: Program) -> list[MuscleChange]:
    traits, rules = traits_of([before, after]), house_rules(template.practice)
    counts: list[dict[tuple[int, str], float]] = []
    for body in (before, after):
        answer = engine.prescribe_weeks(plans_of(body, traits), NOBODY, rules)
        counts.append({(w.week_no, code): week.fractional for w in answer.weeks for code, week in w.muscles})
    last, rows = max(before.weeks, after.weeks), []
    for muscle in engine.MUSCLES:
        weeks = tuple(WeekChange(*(one.get((n, muscle.code), 0.0) for one in counts)) for n in range(1, last + 1))
        if any(week.before or week.after for week in weeks):
            rows.append(MuscleChange(muscle.name, weeks))
    return rows


@dataclass(frozen=True)
class ApplyPage:
    """What applying a version to a client's copy would change, and what both sides changed."""

    version: TemplateVersion
    versions: list[TemplateVersion]
    merged: Merged
    changes: list[Difference]
    kept: list[Difference]
    seen: str
    base_words: str

    @property
    def open_words(self) -> str:
        count = len(self.merged.clashes)
        return f"{count} thing{'s were' if count != 1 else ' was'} changed on both sides"


def past(program: Program, today: date) -> Frozen:
    """Whether a session of a dated programme lies before today."""
    start = program.start_on
    assert start is not None
    return lambda week, day: start + timedelta(days=7 * (week - 1) + day) < today


def apply_page(
    copy: Program, version: TemplateVersion, versions: list[TemplateVersion], today: date, choices: Mapping[str, str]
) -> ApplyPage:
    """The preview with these choices; nothing is written."""
    assert copy.origin_version is not None
    base, mine = version_body(copy.origin_version), present_body(copy)
    merged = merge_bodies(base, mine, version_body(version), choices=choices, frozen=past(copy, today))
    kept = differences(base, mine, named=False)
    return ApplyPage(
        version,
        versions,
        merged,
        differences(mine, merged.body, named=False),
        kept,
        fingerprint(mine),
        f"version {copy.origin_version.number}",
    )
