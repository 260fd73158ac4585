"""Finished points of sweeps on disk, so that a sweep that was stopped, killed or enlarged goes on.

A store is an SQLite database in write-ahead mode, from Python's standard library. A transaction is on disk
when it returns, whatever happens to the process afterwards; several processes of one machine may use one
store. Write-ahead mode needs shared memory, so a store does not belong on a network file system.

A point is found again by a digest of all that decides its figures: the quantities of the cell, its drivers
reduced to the push-pull output that the simulation uses; the operation; tolerance; the version of this
library and the figures it reports. Names and sources of parts do not count.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from .. import _core
from .chunk import Outcome, reduced
from .kinds import AnyPoint, Cell, kind_of

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["PointStore", "StoreError", "point_keys"]

_APPLICATION = 0x67737774  # marks the file as ours
_SCHEMA = 1
_WAIT = 60.0  # [s] for another process that is writing
_MOST_VARIABLES = 500  # of one query
_TEXTS = {"name", "source"}


class StoreError(RuntimeError):
    """A store that cannot be used. ``partial`` has what a sweep had computed by then, or is ``None``."""

    def __init__(self, path: Path, reason: str) -> None:
        self.path = path
        self.reason = reason
        self.partial: xr.Dataset | None = None
        super().__init__(path, reason)

    def __str__(self) -> str:
        return f"{self.path}: {self.reason}"


def point_keys(points: Sequence[AnyPoint], relative_tolerance: float) -> list[bytes]:
    """The digest of each point; all are of one kind of cell."""
    if not points:
        return []
    names = kind_of(points[0].cell).figure_names
    common = json.dumps([_SCHEMA, _core.__version__, names, relative_tolerance.hex()])
    of_cell: dict[int, bytes] = {}
    keys = []
    for point in points:
        cell = of_cell.get(id(point.cell)) or of_cell.setdefault(id(point.cell), _cell_text(point.cell))
        operation = " ".join(one.hex() if isinstance(one, float) else str(one) for one in point[1:])
        keys.append(hashlib.sha256(b"\n".join([common.encode(), cell, operation.encode()])).digest())
    return keys


def _cell_text(cell: Cell) -> bytes:
    return json.dumps(_without_texts(reduced(cell).model_dump(serialize_as_any=True))).encode()


def _without_texts(value: Any) -> Any:
    """Here and below."""
    if isinstance(value, dict):
        return {name: _without_texts(one) for name, one in value.items() if name not in _TEXTS}
    return [_without_texts(one) for one in value] if isinstance(value, list | tuple) else value


class PointStore:
    """Outcomes of points by digest. Use it in a ``with`` statement.

    Raises:
        StoreError: the file is no store, is damaged, or cannot be read and written.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        with self._errors():
            if not self.path.exists():
                _create(self.path)
            elif self.path.stat().st_size == 0:
                raise StoreError(self.path, "is empty, so it was cut off or is no store. Delete it.")
            self._database = sqlite3.connect(self.path, timeout=_WAIT, isolation_level=None)
            self._check()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._database.close()

    def find(self, keys: Sequence[bytes]) -> dict[bytes, Outcome]:
        """Those points of `keys` that are finished. A damaged record counts as none, with a warning."""
        found: dict[bytes, Outcome] = {}
        damaged = 0
        for begin in range(0, len(keys), _MOST_VARIABLES):
            some = keys[begin : begin + _MOST_VARIABLES]
            marks = ",".join("?" * len(some))
            with self._errors():
                rows = self._database.execute(f"SELECT * FROM point WHERE key IN ({marks})", some).fetchall()
            for key, status, message, figures, checksum in rows:
                if checksum == _checksum(key, status, message, figures):
                    found[key] = Outcome(status, message, np.frombuffer(figures, "<f8"))
                else:
                    damaged += 1
        if damaged:
            warnings.warn(
                f"{self.path}: {damaged} damaged records, computed anew.", RuntimeWarning, stacklevel=2
            )
        return found

    def keep(self, outcomes: Mapping[bytes, Outcome]) -> None:
        """Write points, all or none; they are on disk when this returns."""
        rows = []
        for key, outcome in outcomes.items():
            record = key, outcome.status, outcome.message, outcome.figures.astype("<f8").tobytes()
            rows.append((*record, _checksum(*record)))
        with self._errors(), self._transaction():
            self._database.executemany("INSERT OR REPLACE INTO point VALUES (?, ?, ?, ?, ?)", rows)

    def __len__(self) -> int:
        with self._errors():
            return int(self._database.execute("SELECT count(*) FROM point").fetchone()[0])

    def _check(self) -> None:
        (application,) = self._database.execute("PRAGMA application_id").fetchone()
        (schema,) = self._database.execute("PRAGMA user_version").fetchone()
        if application != _APPLICATION:
            raise StoreError(self.path, "is a database, but no store.")
        if schema != _SCHEMA:
            reads = f"gateswing {_core.__version__} reads {_SCHEMA}"
            raise StoreError(self.path, f"is a store of layout {schema}; {reads}. Use another file.")
        self._database.execute("PRAGMA journal_mode = WAL")
        self._database.execute("PRAGMA synchronous = FULL")
        (verdict,) = self._database.execute("PRAGMA quick_check(1)").fetchone()
        if verdict != "ok":
            raise StoreError(
                self.path, f"is damaged ({verdict}). Move it away; its points are computed anew."
            )
        with self._transaction():  # refused here if it may not be written
            self._database.execute("PRAGMA user_version").fetchone()

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._database.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._database.execute("COMMIT")
        except BaseException:
            # A full disk has rolled back by itself.
            if self._database.in_transaction:
                self._database.execute("ROLLBACK")
            raise

    @contextmanager
    def _errors(self) -> Iterator[None]:
        try:
            yield
        except (sqlite3.Error, OSError) as error:
            raise StoreError(self.path, f"cannot be used as a store: {error}.") from error


def _create(path: Path) -> None:
    """Make the file elsewhere and link it into place, so that no one ever sees half a store."""
    new = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        database = sqlite3.connect(new, isolation_level=None)
        try:
            database.execute(f"PRAGMA application_id = {_APPLICATION}")
            database.execute(f"PRAGMA user_version = {_SCHEMA}")
            database.execute(
                "CREATE TABLE point (key BLOB PRIMARY KEY, status TEXT NOT NULL, message TEXT NOT NULL,"
                " figures BLOB NOT NULL, checksum BLOB NOT NULL)"
            )
        finally:
            database.close()
        os.link(new, path)
    except FileExistsError:
        pass  # another process was first
    finally:
        new.unlink(missing_ok=True)


def _checksum(key: bytes, status: str, message: str, figures: bytes) -> bytes:
    record = b"\0".join([key, status.encode(), message.encode(), figures])
    return hashlib.blake2b(record, digest_size=8).digest()
