"""Saving a template as a version, and bringing a programme's rows to a wanted state, as one act."""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from clients.models import Place
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Tape, write
from programs.bodies import Body, SessionState, body_to_json, merge_bodies
from programs.bodies.codec import block_at
from programs.bodies.three_way import Frozen, Merged
from programs.models import Block, PlannedExercise, PlannedSession, Program, TemplateVersion
from programs.selectors.versions import is_saved, latest_version, present_body, version_body
from programs.services.programs import subject_of


def save_version(*, by: Membership, program: Program, note: str, now: datetime) -> TemplateVersion:
    """Keep a template as it stands. Raises ValidationError when nothing changed since the last version."""
    if not program.is_template:
        raise ValidationError(f"{program.name} belongs to a client; versions are saved of templates.")
    # Not on the editor's own stack: there undo takes back edits, and a version that has copies stays.
    with write(f"Save a version of {program.name}", by=by, subject=f"versions:{program.pk}", at=now) as tape:
        tape.lock(program)  # two who save at once get two numbers
        body, last = present_body(program), latest_version(program)
        if last is not None and is_saved(body, last):
            raise ValidationError(f"Nothing has changed since version {last.number}.")
        if not body.sessions:
            raise ValidationError("There is nothing to save yet: plan a session first.")
        return tape.create(
            TemplateVersion(
                program=program, number=last.number + 1 if last else 1, note=note.strip(), by=by, at=now,
                body=body_to_json(body),
            )
        )  # fmt: skip


def version_to_assign(*, by: Membership, program: Program, now: datetime) -> TemplateVersion:
    """The version that holds the template as it stands, saved now when there is none: a copy needs one to go by.

    Raises ValidationError for a template without sessions.
    """
    last = latest_version(program)
    if last is not None and is_saved(present_body(program), last):
        return last
    return save_version(by=by, program=program, note="Saved when it was assigned", now=now)


def apply_version(
    *, by: Membership, program: Program, version: TemplateVersion, choices: Mapping[str, str], seen: str,
    frozen: Frozen, now: datetime,
) -> Merged:  # fmt: skip
    """Bring what a template changed into a copy, keeping what its coach changed: one act.

    `seen`: the fingerprint of the copy as previewed. Raises CopyMoved when it has changed since.
    """
    if program.origin_version is None or program.origin_version.program_id != version.program_id:
        raise ValidationError(f"{program.name} was not made of {version.program.name}.")
    label = f"Apply version {version.number} of {version.program.name}"
    with write(label, by=by, subject=subject_of(program), at=now) as tape:
        row = tape.lock(program)
        _hold(program)
        mine = present_body(program)
        if seen != fingerprint(mine):
            raise CopyMoved
        merged = merge_bodies(
            version_body(program.origin_version), mine, version_body(version), choices=choices, frozen=frozen
        )
        write_body(tape, program, mine, merged.body)
        row.origin_version = version
        tape.save(row)
    return merged


def restore_version(*, by: Membership, version: TemplateVersion, now: datetime) -> None:
    """Make the template as it was in a version; what it is now stays only if it was saved. One act.

    Raises ValidationError when it is so already, or when something it needs is gone.
    """
    program = version.program
    with write(f"Go back to version {version.number}", by=by, subject=subject_of(program), at=now) as tape:
        tape.lock(program)
        _hold(program)
        present, wanted = present_body(program), version_body(version)
        if is_saved(present, version):
            raise ValidationError(f"The template is as in version {version.number} already.")
        write_body(tape, program, present, wanted)


class CopyMoved(Exception):
    """The programme has changed since its preview was drawn; nothing was written."""


def fingerprint(body: Body) -> str:
    """Short and alike only for the same programme."""
    text = json.dumps(body_to_json(body), sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _hold(program: Program) -> None:
    """Let nobody change a row of it before this act is over: what is written was worked out from all of them."""
    for rows in (
        PlannedSession.objects.filter(block__program=program),
        PlannedExercise.objects.filter(session__block__program=program),
    ):
        list(rows.select_for_update(of=("self",)).order_by("id").values_list("id", flat=True))


def write_body(tape: Tape, program: Program, present: Body, wanted: Body) -> None:
    """Make the rows of a programme, which are `present`, into `wanted`; every row that moves is recorded."""
    blocks, surplus = _write_blocks(tape, program, wanted)
    sessions = _write_sessions(tape, program, blocks, present, wanted)
    _write_exercises(tape, program, sessions, present, wanted)
    for uid in set(present.sessions) - set(wanted.sessions):
        tape.delete(sessions[uid])
    for block in surplus:
        tape.delete(block)


def _write_blocks(tape: Tape, program: Program, wanted: Body) -> tuple[list[Block], list[Block]]:
    """The wanted blocks, in order, and those left over."""
    there = list(program.blocks.order_by("first_week", "id"))
    made = []
    for n, values in enumerate(wanted.blocks):
        if n < len(there):
            made.append(_changed(tape, there[n], values))
        else:
            made.append(tape.create(Block(program=program, **values)))
    return made, there[len(wanted.blocks) :]


def _changed(tape: Tape, row: Any, values: Mapping[str, Any]) -> Any:
    if all(getattr(row, name) == value for name, value in values.items()):
        return row
    locked = tape.lock(row)
    for name, value in values.items():
        setattr(locked, name, value)
    return tape.save(locked)


def _write_sessions(
    tape: Tape, program: Program, blocks: list[Block], present: Body, wanted: Body
) -> dict[str, PlannedSession]:
    """Every session there is or will be, by uid."""
    rows = {str(one.uid): one for one in PlannedSession.objects.filter(block__program=program)}
    for uid, one in wanted.sessions.items():
        block = block_at(blocks, one.when[0])
        if uid not in present.sessions:
            made = PlannedSession(block=block, uid=UUID(uid), **_at_a_place(one))
            rows[uid] = tape.create(made)
        else:
            rows[uid] = _changed(tape, rows[uid], {"block_id": block.pk, **one.values})
    return rows


def _at_a_place(one: SessionState) -> dict[str, Any]:
    place = one.values["place_id"]
    there = place is None or Place.objects.filter(pk=place).exists()
    return one.values if there else {**one.values, "place_id": None}


def _write_exercises(
    tape: Tape, program: Program, sessions: Mapping[str, PlannedSession], present: Body, wanted: Body
) -> None:
    rows = {str(one.uid): one for one in PlannedExercise.objects.filter(session__block__program=program)}
    for uid in set(present.exercises) - set(wanted.exercises):
        # With its session it goes by itself.
        if present.exercises[uid].session in wanted.sessions:
            tape.delete(rows[uid])
    for uid, one in wanted.exercises.items():
        session = sessions[one.session]
        if uid not in present.exercises:
            tape.create(PlannedExercise(session=session, uid=UUID(uid), **one.values))
        else:
            _changed(tape, rows[uid], {"session_id": session.pk, **one.values})
