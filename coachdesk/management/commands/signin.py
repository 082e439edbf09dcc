"""Prints a sign-in address that works once within 15 minutes."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from coachdesk.practice.models import User
from coachdesk.practice.selectors import has_left
from coachdesk.practice.services import make_sign_in_link


def sign_in_address(user: User, base: str) -> str:
    """The whole address of a fresh sign-in link on `base`, such as http://127.0.0.1:8000."""
    return f"{base}/sign-in/{make_sign_in_link(user=user, now=timezone.now())}/"


def public_base(port: int) -> str:
    """Where a browser finds the desk: the https in front in served mode, else this port of this machine."""
    return f"https://{settings.ENV.hosts[0]}" if settings.ENV.served else f"http://127.0.0.1:{port}"


class Command(BaseCommand):
    """manage.py signin [--email ADDRESS] [--port PORT]"""

    help = "Print a sign-in address for a member of the practice; it works once within 15 minutes."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--email", help="whom to sign in (default: the first owner)")
        parser.add_argument("--port", type=int, default=8000, help="the port the desk runs on (default 8000)")

    def handle(self, *args: Any, **options: Any) -> None:
        users = User.objects.filter(is_active=True)
        if options["email"]:
            user = users.filter(email=options["email"].strip().lower()).first()
            if user is None or has_left(user):
                raise CommandError(f"Nobody signs in as {options['email']!r}; check the address.")
        else:
            user = users.filter(memberships__role="owner", memberships__left_at=None).order_by("id").first()
            if user is None:
                raise CommandError("There is no owner yet; run 'manage.py desk' once, or 'manage.py seed'.")
        self.stdout.write(sign_in_address(user, public_base(options["port"])))
