"""Invitations and decisions in one file, on the disk before anybody is told that they are kept.

A link's secret is kept as its digest alone: who reads the file cannot open the review.
"""

from __future__ import annotations

import hashlib
import secrets
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from previz.errors import InputError, OutputError, Place, Problem
from previz.model.decisions import Logged

NAME = "review.sqlite"
WAIT_S = 20.0
"""How long one process waits for another that is writing."""
TABLES = """
create table if not exists invitations(
    name text not null, secret text primary key, made_at text not null,
    expires_at text not null, withdrawn_at text
) strict;
create table if not exists decisions(
    id text primary key, body text not null, logged integer not null default 0
) strict;
create index if not exists unlogged on decisions(logged) where logged = 0;
create table if not exists settings(name text primary key, value text not null) strict;
"""


@dataclass(frozen=True)
class Invitation:
    """A reviewer's link, without its secret."""

    name: str
    made_at: str
    expires_at: str
    withdrawn_at: str | None

    def open_at(self, moment: datetime) -> bool:
        """Whether the link still opens the review."""
        return self.withdrawn_at is None and moment < datetime.fromisoformat(self.expires_at)


class Store:
    """One connection to the file; one thread at a time writes. OutputError where that cannot be."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._telling():
            path.parent.mkdir(parents=True, exist_ok=True)
            self._base = sqlite3.connect(
                path, timeout=WAIT_S, isolation_level=None, check_same_thread=False
            )
            # What is committed has reached the disk, whatever ends the process or the power.
            self._base.execute("pragma journal_mode = wal")
            self._base.execute("pragma synchronous = full")
            self._base.executescript(TABLES)

    def close(self) -> None:
        """Let go of the file."""
        self._base.close()

    # --- who may look --------------------------------------------------------------------------

    def invite(self, name: str, days: float) -> str:
        """The secret of a new link for a reviewer; their earlier links stay as they are."""
        secret, now = secrets.token_urlsafe(32), datetime.now(UTC)
        row = (name, _digest(secret), _told(now), _told(now + timedelta(days=days)))
        with self._writing():
            self._base.execute(
                "insert into invitations(name, secret, made_at, expires_at) values(?,?,?,?)", row
            )
        return secret

    def withdraw(self, name: str) -> int:
        """Close all open links of a reviewer; how many these were."""
        with self._writing():
            done = self._base.execute(
                "update invitations set withdrawn_at = ? where name = ? and withdrawn_at is null",
                (_told(datetime.now(UTC)), name),
            )
        return done.rowcount

    def invitations(self) -> tuple[Invitation, ...]:
        """All links there ever were, in the order they were made."""
        rows = self._base.execute(
            "select name, made_at, expires_at, withdrawn_at from invitations order by rowid"
        )
        return tuple(Invitation(*row) for row in rows)

    def holder(self, secret: str) -> Invitation | None:
        """Whose link this is, if it opens the review now."""
        row = self._base.execute(
            "select name, made_at, expires_at, withdrawn_at from invitations where secret = ?",
            (_digest(secret),),
        ).fetchone()
        found = Invitation(*row) if row else None
        return found if found is not None and found.open_at(datetime.now(UTC)) else None

    # --- what they decided ---------------------------------------------------------------------

    def keep(self, decisions: Sequence[Logged]) -> int:
        """Keep decisions, each once; how many are new. When it returns they are on the disk."""
        rows = [(decision.id, decision.model_dump_json()) for decision in decisions]
        with self._writing():
            before = self._base.total_changes
            self._base.executemany("insert or ignore into decisions(id, body) values(?,?)", rows)
            return self._base.total_changes - before

    def unlogged(self) -> tuple[Logged, ...]:
        """Decisions that are not yet in the log of their scene."""
        rows = self._base.execute("select body from decisions where logged = 0 order by rowid")
        return tuple(Logged.model_validate_json(body) for (body,) in rows)

    def mark_logged(self, decisions: Sequence[Logged]) -> None:
        """These are in the log of their scene now."""
        with self._writing():
            self._base.executemany(
                "update decisions set logged = 1 where id = ?", [(d.id,) for d in decisions]
            )

    # --- where it is served --------------------------------------------------------------------

    def setting(self, name: str, usual: str) -> str:
        """A value kept from an earlier time."""
        row = self._base.execute("select value from settings where name = ?", (name,)).fetchone()
        return str(row[0]) if row else usual

    def set(self, name: str, value: str) -> None:
        """Keep a value for another time."""
        with self._writing():
            self._base.execute("insert or replace into settings values(?,?)", (name, value))

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """All of it, or nothing."""
        with self._telling():
            self._base.execute("begin immediate")
            try:
                yield
                self._base.execute("commit")
            except BaseException:
                if self._base.in_transaction:
                    self._base.execute("rollback")
                raise

    @contextmanager
    def _telling(self) -> Iterator[None]:
        try:
            yield
        except (sqlite3.DatabaseError, OSError) as error:
            if isinstance(error, sqlite3.DatabaseError) and "not a database" in str(error):
                text = "is no file of a review: move it away"
                raise InputError([Problem(Place(self.path), text)]) from error
            raise OutputError(f"{self.path}: cannot be written, {error}") from error


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()


def _told(moment: datetime) -> str:
    return moment.isoformat(timespec="seconds")
