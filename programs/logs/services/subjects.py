"""The names of undo stacks."""

from uuid import UUID


def subject_of(session_log_key: UUID) -> str:
    """The name of a session log's undo stack, known before the row is."""
    return f"log:{session_log_key.hex}"
