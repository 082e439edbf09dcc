"""PostgreSQL: pg_dump under one exported snapshot, pg_restore into a new database, two renames to put it in place."""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from time import monotonic, sleep
from typing import Any

import psycopg
from django.conf import settings
from django.db import connection
from psycopg import conninfo, sql

from coachdesk.management.backups.contents import Contents, contents_of
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.scratch import connected_to, leave

TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
OTHERS = """SELECT count(*) FROM pg_stat_activity
            WHERE datname = %s AND pid <> pg_backend_pid() AND backend_type = 'client backend'"""
# One closed a moment ago, our own among them, is listed until the server has seen to it.
MOMENT_S, LOOK_AGAIN_S = 3.0, 0.05
ORPHANS = "SELECT conrelid::regclass::text, conname FROM pg_constraint WHERE contype = 'f' AND NOT convalidated"

NO_TOOLS = (
    "pg_dump and pg_restore are not on this machine. Install PostgreSQL's client tools (Debian: apt install "
    "postgresql-client)."
)


class PostgreSQL:
    """One database of a server that pg_dump and pg_restore reach from here."""

    kind, packed = "postgresql", True

    def __init__(self) -> None:
        self.name = str(connection.settings_dict["NAME"])

    @property
    def folder(self) -> Path:
        home: Path = settings.ENV.home
        return home

    def possible(self) -> str:
        if shutil.which("pg_dump") and shutil.which("pg_restore"):
            return ""
        return NO_TOOLS

    def version(self) -> str:
        with closing(self._connect(self.name)) as live:
            return f"PostgreSQL {live.info.server_version // 10000}"

    def dump(self, into: Path) -> Contents:
        """The counts and the dump come from one exported snapshot, so they agree however much is written meanwhile."""
        try:
            with closing(self._connect(self.name)) as live:
                live.autocommit = False
                live.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
                snapshot = str(live.execute("SELECT pg_export_snapshot()").fetchall()[0][0])
                found = _contents(live)
                self._run("pg_dump", self.name, "--format=custom", "--no-owner", "--no-privileges",
                          f"--snapshot={snapshot}", f"--file={into}")  # fmt: skip
                return found
        except psycopg.Error as problem:
            raise BackupError(f"No backup was made; PostgreSQL says: {_first(problem)}.") from problem

    @contextmanager
    def loaded(self, data: Path) -> Iterator[Callable[[str], str]]:
        name = f"{self.name[:40]}_trial_{os.getpid()}"
        self._run("pg_restore", "", "--list", "--file=/dev/null", str(data))
        self._elsewhere(f"CREATE DATABASE {{}} TEMPLATE template0 ENCODING 'UTF8' {self._locale()}", name)
        try:
            self._run("pg_restore", name, "--no-owner", "--no-privileges", "--exit-on-error", "--single-transaction",
                      str(data))  # fmt: skip
            with connected_to(name):
                yield lambda stamp: self._take_place(name, stamp)
        finally:
            self._elsewhere("DROP DATABASE IF EXISTS {}", name)

    def damage(self) -> list[str]:
        """PostgreSQL checks each foreign key as it loads rows; one that was not checked is told."""
        with connection.cursor() as cursor:
            cursor.execute(ORPHANS)
            return [f"{table}: the foreign key {name} was never checked" for table, name in cursor.fetchall()]

    def refuse_if_used(self) -> None:
        leave()
        with closing(self._connect(self._other())) as server:
            used, until = self._others(server), monotonic() + MOMENT_S
            while used and monotonic() < until:
                sleep(LOOK_AGAIN_S)
                used = self._others(server)
        if used:
            raise BackupError(
                f"{used} other connections use this database. Stop every desk and whatever else is connected."
            )

    def _others(self, server: Any) -> int:
        return int(server.execute(OTHERS, [self.name]).fetchall()[0][0])

    def _take_place(self, name: str, stamp: str) -> str:
        leave()
        self.refuse_if_used()
        aside = f"{self.name[:40]}_before_{stamp.replace('-', '_')}"
        there = self._exists(self.name)
        if there:
            self._elsewhere("ALTER DATABASE {} RENAME TO {}", self.name, aside)
        try:
            self._elsewhere("ALTER DATABASE {} RENAME TO {}", name, self.name)
        except BackupError:
            if there:
                self._elsewhere("ALTER DATABASE {} RENAME TO {}", aside, self.name)
            raise
        if not there:
            return "There was no database before."
        return f"The database before it is kept as {aside}; drop it when you are content."

    def _other(self) -> str:
        """A database to stand in while another is made, renamed or dropped."""
        return "template1" if self.name == "postgres" else "postgres"

    def _exists(self, name: str) -> bool:
        with closing(self._connect(self._other())) as server:
            return bool(server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchall())

    def _locale(self) -> str:
        """The present database's own sorting, where there still is one."""
        ask = "SELECT datcollate, datctype FROM pg_database WHERE datname = %s"
        with closing(self._connect(self._other())) as server:
            for collate, ctype in server.execute(ask, [self.name]).fetchall():
                words = sql.SQL("LC_COLLATE {} LC_CTYPE {}").format(sql.Literal(collate), sql.Literal(ctype))
                return words.as_string(server)
        return ""

    def _elsewhere(self, statement: str, *names: str) -> None:
        try:
            with closing(self._connect(self._other())) as server:
                server.execute(sql.SQL(statement).format(*map(sql.Identifier, names)))
        except psycopg.Error as problem:
            raise BackupError(f"PostgreSQL refused: {_first(problem)}. The role must own the database and may need "
                              "CREATEDB.") from problem  # fmt: skip

    def _connect(self, name: str) -> "psycopg.Connection[Any]":
        try:
            return psycopg.connect(**address_of(name), autocommit=True)
        except psycopg.Error as problem:
            raise BackupError(f"PostgreSQL cannot be reached: {_first(problem)}.") from problem

    def _run(self, tool: str, name: str, *more: str) -> None:
        """Run one of PostgreSQL's tools; the password goes by its environment, where other users cannot read it."""
        reason = self.possible()
        if reason:
            raise BackupError(reason)
        address = address_of(name)
        secret = {"PGPASSWORD": str(address.pop("password"))} if address.get("password") else {}
        where = [f"--dbname={conninfo.make_conninfo(**address)}"] if name else []
        done = subprocess.run([tool, *where, *more], env=_with(secret), capture_output=True, text=True, check=False)
        if done.returncode:
            said = (done.stderr.strip().splitlines() or ["no reason given"])[0]
            raise BackupError(f"{tool} failed: {said}")


def _with(secret: Mapping[str, str]) -> dict[str, str]:
    return {**os.environ, **secret}


def address_of(name: str) -> dict[str, Any]:
    """What DATABASE_URL says, for another database of the server and without the time limits of a page."""
    said = connection.settings_dict
    options = {key: value for key, value in said.get("OPTIONS", {}).items() if key not in ("options", "pool")}
    own = {key.lower(): said[key] for key in ("USER", "PASSWORD", "HOST", "PORT") if said[key]}
    return {"dbname": name, **own, **options}


def _contents(live: "psycopg.Connection[Any]") -> Contents:
    return contents_of(lambda ask: live.execute(ask).fetchall(), [name for (name,) in live.execute(TABLES).fetchall()])


def _first(problem: Exception) -> str:
    return (str(problem).splitlines() or ["it gave no reason"])[0]
