"""A desk of its own that is killed again and again while sets are logged, and the count of what it then lost."""

from coachdesk.management.endurance.harness import Endured, endure

__all__ = ["Endured", "endure"]
