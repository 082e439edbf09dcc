"""Reading schemes: the engine's kinds with their examples, and the practice's own."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.forms import BoundField, Form
from django.utils.safestring import SafeString

from coachdesk import engine
from coachdesk.practice.merge import Conflict, StaleEdit
from coachdesk.practice.models import Membership
from programs.figures import profile_svg, set_profile
from programs.models import Scheme
from programs.scheme_notes import HINTS, HOLDS, LOAD_KINDS, SIDES, SchemeNote, note_of, start_of
from programs.selectors.scheme_trial import Lifter, Trial, example_lifter, try_scheme

# The library's profiles share one scale: the longest kind is as wide as a page has room for.
PLOT = 760.0


def visible_schemes(desk: Membership) -> QuerySet[Scheme]:
    """The practice's own schemes, by name."""
    return Scheme.objects.filter(practice_id=desk.practice_id).order_by("name", "id")


@dataclass(frozen=True)
class Picture:
    """A scheme's profile with its sentence and the steps it was drawn from."""

    svg: SafeString
    trial: Trial
    words: str


@dataclass(frozen=True)
class KindRow:
    """One kind of the library: what the engine calls it, what the desk says of it, its example drawn."""

    kind: engine.SchemeKind
    note: SchemeNote
    typed: dict[str, str]
    picture: Picture | None


@dataclass(frozen=True)
class OwnRow:
    """One scheme of the practice; no picture when the engine no longer reads its value."""

    row: Scheme
    name: str
    words: str
    svg: SafeString | None
    typed: dict[str, str]


def pictures(trials: list[Trial], names: list[str], plot: float = PLOT) -> list[Picture]:
    """Full-size profiles on one scale, at most `plot` px wide."""
    bouts = [set_profile.bouts_of(trial.made, trial.lifter.rules) for trial in trials]
    scale = set_profile.common_scale(bouts, plot)
    width = max((scale * set_profile.drawn_seconds(one) for one in bouts), default=1.0)
    return [
        Picture(
            profile_svg.full_svg(one, name, px_per_s=scale, width=width), trial,
            engine.scheme_words(trial.scheme),
        )
        for one, trial, name in zip(bouts, trials, names, strict=True)
    ]  # fmt: skip


def kind_rows(desk: Membership) -> list[KindRow]:
    """Every kind that has fields of its own, with its usual example on the stated example lifter."""
    unit = desk.practice.unit
    lifter = example_lifter(unit)
    found: list[tuple[engine.SchemeKind, Trial | None]] = []
    for kind in engine.SCHEMES.values():
        if kind.kind != "series":
            found.append((kind, _tried(kind.kind, unit, lifter)))
    drawn = pictures([trial for _, trial in found if trial], [kind.name for kind, trial in found if trial])
    by_trial = {id(picture.trial): picture for picture in drawn}
    return [KindRow(k, note_of(k.kind), start_of(k.kind), by_trial.get(id(trial))) for k, trial in found]


def _tried(kind: str, unit: str, lifter: Lifter) -> Trial | None:
    try:
        scheme = engine.scheme_from_fields(start_of(kind), unit)
        return try_scheme(lifter, scheme)
    except engine.EngineError:
        return None


def own_rows(desk: Membership) -> list[OwnRow]:
    """The practice's schemes in words, with their profiles on one scale where they can be tried."""
    unit = desk.practice.unit
    lifter = example_lifter(unit)
    rows: list[tuple[Scheme, str, Trial | None, dict[str, str]]] = []
    for row in visible_schemes(desk):
        try:
            scheme = engine.scheme_from_json(row.value)
            rows.append((row, engine.scheme_words(scheme), try_scheme(lifter, scheme), flat(scheme, unit)))
        except engine.EngineError as wrong:
            rows.append((row, str(wrong), None, {}))
    tried = [(row, trial) for row, _, trial, _ in rows if trial]
    bouts = {row.pk: set_profile.bouts_of(trial.made) for row, trial in tried}
    scale = profile_svg.small_scale(tuple(bouts.values()))
    drawn = {pk: profile_svg.small_svg(one, px_per_s=scale) for pk, one in bouts.items()}
    return [OwnRow(row, _kind_name(row), words, drawn.get(row.pk), typed) for row, words, _, typed in rows]


def flat(scheme: engine.Scheme, unit: str) -> dict[str, str]:
    """The scheme's typed fields; nothing for one without a flat form, such as a series."""
    try:
        return dict(engine.scheme_to_fields(scheme, unit))
    except engine.EngineError:
        return {}


def _kind_name(row: Scheme) -> str:
    kind = engine.SCHEMES.get(row.value.get("kind", "") if isinstance(row.value, dict) else "")
    return kind.name if kind else "unknown"


@dataclass(frozen=True)
class FormField:
    """One control of the form that keeps a scheme: the bound field, choices for a list, how its text is written."""

    field: BoundField
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""


def form_fields(form: Form) -> list[FormField]:
    """Every field of a scheme form in order, lists with their choices."""
    choices = {
        "kind": tuple((k.kind, k.name) for k in engine.SCHEMES.values() if k.kind != "series"),
        "load_kind": LOAD_KINDS, "side": SIDES, "hold": HOLDS,
    }  # fmt: skip
    return [FormField(form[name], choices.get(name, ()), HINTS.get(name, "")) for name in engine.FIELDS]


def list_examples() -> list[tuple[str, str, str]]:
    """(name, what its list holds, an example) of every kind that has a list."""
    kinds = [kind for kind in engine.SCHEMES.values() if kind.kind != "series" and start_of(kind.kind)["ladder"]]
    return [(kind.name, note_of(kind.kind).list_name, start_of(kind.kind)["ladder"]) for kind in kinds]


def stored_fields(row: Scheme, unit: str) -> dict[str, str]:
    """The typed fields of a kept scheme; a start where its value cannot be read or has no flat form."""
    try:
        return flat(engine.scheme_from_json(row.value), unit) or start_of("straight")
    except engine.EngineError:
        return start_of("straight")


def scheme_clashes(stale: StaleEdit) -> list[Conflict]:
    """The fields that both changed, a scheme in words."""
    return [
        Conflict("name", c.mine, c.theirs) if c.field == "name" else Conflict("scheme", _said(c.mine), _said(c.theirs))
        for c in stale.conflicts
    ]


def _said(value: dict[str, object]) -> str:
    return engine.scheme_words(engine.scheme_from_json(value))
