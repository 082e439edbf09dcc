"""Backups of the whole database: made while the desk runs, checked by a trial restore, put back as one step."""

from coachdesk.management.backups.check import Report, check_backup, check_present
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.backups.make import KEEP, backups_possible, make_backup
from coachdesk.management.backups.restore import restore_backup

__all__ = [
    "KEEP", "BackupError", "Report", "backups_possible", "check_backup", "check_present", "make_backup",
    "restore_backup",
]  # fmt: skip
