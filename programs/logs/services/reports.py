"""Keeping what a coach writes into the report of a block."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.services.stale import take_over
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.logs.models import BlockNote
from programs.models import Block

EDITABLE = ("note", "steps", "next_note", "with_pain")


def write_note(
    *, by: Membership, block: Block, span: tuple[int, int], version: int, values: dict[str, Any], now: datetime
) -> BlockNote:
    """Keep `values` (any of EDITABLE) for these weeks of the block; `version` 0 where nothing was written yet.

    Raises StaleForm when the same was written meanwhile; ValidationError for a version that never was.
    """
    client = block.program.client
    if client is None:
        raise ValidationError("A template has nobody to report to; assign it first.")
    fields = {name: values[name] for name in EDITABLE if name in values}
    with write(
        f"Write the report of {block.name} for {client.name}", by=by, subject=f"report:{block.pk}", at=now
    ) as tape:
        # The block's row is the lock: two who write the first words at once must not make two.
        tape.lock(block)
        kept = BlockNote.objects.filter(block=block, first_week=span[0], last_week=span[1]).first()
        if kept is None:
            return tape.create(BlockNote(client=client, block=block, first_week=span[0], last_week=span[1], **fields))
        row = tape.lock(kept)
        if version > row.version:
            raise ValidationError(f"Version {version} of this report does not exist; open it again and try again.")
        return tape.save(take_over(row, version=version, fields=fields))
