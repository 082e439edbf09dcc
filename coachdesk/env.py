"""The one place that reads environment variables; it fails loudly: variable, value, what would be right."""

import os
import secrets
from dataclasses import dataclass
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent


class EnvError(ValueError):
    """An environment variable holds something the desk cannot use."""

    def __init__(self, variable: str, value: str, right: str) -> None:
        super().__init__(f"{variable} is {value!r}; it should be {right}.")


@dataclass(frozen=True)
class Env:
    """What the environment says. `served` means behind https for others; otherwise this machine only."""

    home: Path
    database_url: str
    served: bool
    hosts: tuple[str, ...]
    secret_key: str
    ci: bool


def _home(raw: str) -> Path:
    home = Path(raw).expanduser() if raw else BASE / ".desk"
    try:
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise EnvError("COACHDESK_HOME", raw, f"a folder the desk may write to ({problem.strerror})") from None
    return home


def _mode(raw: str) -> bool:
    if raw not in ("", "local", "served"):
        raise EnvError("COACHDESK_MODE", raw, "'local' (the default) or 'served'")
    return raw == "served"


def _hosts(raw: str, served: bool) -> tuple[str, ...]:
    local = ("127.0.0.1", "localhost", "[::1]")
    hosts = tuple(h.strip() for h in raw.split(",") if h.strip())
    if not served:
        if hosts:
            raise EnvError("COACHDESK_HOSTS", raw, "left out unless COACHDESK_MODE is 'served'")
        return local
    if not hosts or any(h == "*" or "/" in h or " " in h for h in hosts):
        raise EnvError("COACHDESK_HOSTS", raw, "host names parted by commas, such as 'desk.example.org'")
    return hosts


def _database_url(raw: str, home: Path) -> str:
    if not raw:
        return f"sqlite:///{home / 'desk.sqlite3'}"
    if not raw.startswith(("sqlite:///", "postgres://", "postgresql://")):
        raise EnvError("DATABASE_URL", raw.split("@")[-1], "an address starting sqlite:/// or postgresql://")
    return raw


def _secret_key(raw: str, home: Path) -> str:
    if raw:
        if len(raw) < 50:
            raise EnvError("COACHDESK_SECRET_KEY", f"{len(raw)} characters", "at least 50 random characters")
        return raw
    path = home / "secret-key"
    try:
        # O_EXCL: two processes starting together must not end up with two different keys.
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as new:
            new.write(secrets.token_urlsafe(64))
    except FileExistsError:
        pass
    key = path.read_text().strip()
    if len(key) < 50:
        raise EnvError("COACHDESK_HOME", str(home), "a folder whose file secret-key is whole; delete that file")
    return key


def read_env(variables: "os._Environ[str] | dict[str, str]" = os.environ) -> Env:
    """Read and check every variable the desk knows. Raises EnvError."""
    home = _home(variables.get("COACHDESK_HOME", ""))
    served = _mode(variables.get("COACHDESK_MODE", ""))
    return Env(
        home=home,
        database_url=_database_url(variables.get("DATABASE_URL", ""), home),
        served=served,
        hosts=_hosts(variables.get("COACHDESK_HOSTS", ""), served),
        secret_key=_secret_key(variables.get("COACHDESK_SECRET_KEY", ""), home),
        ci=variables.get("CI", "") not in ("", "0", "false"),
    )
