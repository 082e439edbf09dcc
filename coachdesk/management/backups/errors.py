"""What goes wrong with backups, in words for the person at the desk."""


class BackupError(Exception):
    """No backup was made, or this one is refused; says why and what to do. Nothing was changed."""
