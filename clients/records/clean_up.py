"""Leaving no trace of what was erased in caches and in the database's own files."""

from django.core.cache import cache

from clients.records.belongings import belongings
from coachdesk.practice.models import Act, Change
from coachdesk.practice.scrub import scrub


def clean_up() -> bool:
    """False when traces may still lie in the database's files."""
    cache.clear()
    tables = [one.model._meta.db_table for one in belongings()]
    return scrub(*tables, Act._meta.db_table, Change._meta.db_table)
