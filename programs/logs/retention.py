"""Which session logs say when a client was last seen, for the question whether their data stay."""

from clients.records.retention import with_last_seen
from programs.logs.models import SessionLog

with_last_seen(SessionLog, "done_on")
