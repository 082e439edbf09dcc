"""Runs the desk on this machine: migrates, seeds the demo practice into an empty database, serves, says where."""

import signal
import sys
import threading
from typing import Any

import psycopg
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, connection

from coachdesk.desk_lock import HomeTaken, hold_desk
from coachdesk.management.backups.daily import keep_daily
from coachdesk.management.commands.signin import public_base, sign_in_address
from coachdesk.management.memory import settle
from coachdesk.management.preparing import alone_at_preparing
from coachdesk.practice.models import Membership, Practice, User
from coachdesk.practice.services import found_practice
from programs.services import load_library

# A 10 MB file still gets its answer at the field; more is refused before it fills the disk.
MOST_BYTES = 16 * 1024 * 1024
# Only the https in front, on this machine, may say which scheme the browser used; the server drops it from others.
BEHIND_PROXY = {"trusted_proxy": "127.0.0.1", "trusted_proxy_headers": {"x-forwarded-proto"}}


class Command(BaseCommand):
    """manage.py desk [--port PORT] [--empty]"""

    help = "Run the desk on this machine and print an address that signs you in."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="port on 127.0.0.1 (default 8000)")
        parser.add_argument("--empty", action="store_true", help="start an empty practice instead of the demo one")

    def handle(self, *args: Any, **options: Any) -> None:
        port = options["port"]
        if not 1 <= port <= 65535:
            raise CommandError(f"--port is {port}; it should be 1 to 65535.")
        try:
            hold_desk(settings.ENV.home)
        except HomeTaken as taken:
            raise CommandError(f"The desk does not start: {taken}.") from None
        try:
            with alone_at_preparing():
                self._prepare(empty=options["empty"])
        except psycopg.Error as problem:
            raise CommandError(f"The database cannot be opened or migrated: {problem}") from problem
        self._serve(port)

    def _prepare(self, *, empty: bool) -> None:
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as problem:
            raise CommandError(f"The database cannot be opened or migrated: {problem}") from problem
        if Practice.objects.exists():
            return
        if empty:
            load_library()
            found_practice(name="My practice", owner_name="Owner", email="owner@localhost.localdomain")
            self._say("The database was empty: an empty practice with the exercise library is ready.")
        else:
            self._say("The database is empty: seeding the demo practice (all invented). --empty leaves it out.")
            call_command("seed")

    def _serve(self, port: int) -> None:
        from waitress.server import create_server

        from coachdesk.wsgi import application

        owners = User.objects.filter(memberships__role=Membership.Role.OWNER, memberships__left_at=None, is_active=True)
        owner = owners.order_by("id").first()
        if owner is None:
            raise CommandError("This database has a practice but no owner who can sign in.")
        try:
            server = create_server(
                application, host="127.0.0.1", port=port, threads=8, ident="coachdesk",
                max_request_body_size=MOST_BYTES, **(BEHIND_PROXY if settings.ENV.served else {}),
            )  # fmt: skip
        except OSError as problem:
            raise CommandError(f"Port {port} cannot be used: {problem.strerror}. Choose another with --port.") from None
        base = f"http://127.0.0.1:{port}"
        self._say(f"Coachdesk runs on {base}. Sign in with this address (once, within 15 minutes):")
        self.stdout.write(sign_in_address(owner, public_base(port)))
        self._say("'manage.py signin' prints another. Ctrl-C stops the desk.")
        self.stdout.flush()

        def stop(_number: int, _frame: Any) -> None:
            raise KeyboardInterrupt

        signal.signal(signal.SIGTERM, stop)
        signal.signal(signal.SIGINT, stop)
        settle()
        over = threading.Event()
        if connection.vendor == "sqlite":
            keep_daily(over)
        try:
            server.run()
        except KeyboardInterrupt:
            pass
        finally:
            over.set()
            server.close()
            self._say("The desk has stopped.")

    def _say(self, words: str) -> None:
        print(words, file=sys.stderr, flush=True)
