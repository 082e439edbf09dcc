"""Writing about clients and places; every act goes on the tape."""

from clients.services.consent import check_consent, erase_health, record_consent, withdraw_consent
from clients.services.people import archive_client, create_client, edit_client, restore_client
from clients.services.places import (
    add_equipment,
    add_starting_set,
    create_place,
    edit_equipment,
    edit_place,
    remove_equipment,
    rename_place,
)
from clients.services.retention import keep_client_data, set_retention_months
from clients.services.rules import follow_rules, set_rules
from clients.services.standing import add_precaution, end_precaution, mark_muscles, record_screening

__all__ = [
    "add_equipment", "add_precaution", "add_starting_set", "archive_client", "check_consent", "create_client",
    "create_place", "edit_client", "edit_equipment", "edit_place", "end_precaution", "erase_health", "follow_rules",
    "keep_client_data", "mark_muscles", "record_consent", "record_screening", "remove_equipment", "rename_place",
    "restore_client", "set_retention_months", "set_rules", "withdraw_consent",
]  # fmt: skip
