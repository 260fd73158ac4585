"""Where parts come from: the library of the package, and packs of other packages found by entry points.

A pack is an entry point of the group ``gateswing.parts``. It names a module, whose folder holds part files, a
path to such a folder, or a function that returns either that or a mapping of part names to nested tables:

    [project.entry-points."gateswing.parts"]
    bench = "my_parts:folder"
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import metadata, resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import ModuleType
from typing import Any

from ..errors import InputError, InputProblem, InputWarning
from .part_file import PartFile

__all__ = ["LIBRARY", "Pack", "installed_packs", "library"]

LIBRARY = "gateswing"
_GROUP = "gateswing.parts"
_SUFFIX = ".toml"


@dataclass(frozen=True)
class Pack:
    """Parts under one name.

    Attributes:
        name: of the pack.
        sources: the file, or the nested tables, of each part by its name.
    """

    name: str
    sources: Mapping[str, Traversable | Mapping[str, Any]]

    def read(self, part: str) -> PartFile:
        """Read and validate one part.

        Raises:
            InputError: it says something that cannot be used.
        """
        source = self.sources[part]
        return PartFile.from_mapping(source) if isinstance(source, Mapping) else PartFile.read(source)


def library() -> Pack:
    """The parts that come with the package."""
    return Pack(LIBRARY, _files_in(resources.files(__package__) / "parts"))


def installed_packs() -> tuple[list[Pack], list[InputWarning]]:
    """Packs of other packages by the name of the pack, and what is wrong with those that cannot be used."""
    packs: dict[str, Pack] = {}
    problems = []
    for point in sorted(metadata.entry_points(group=_GROUP), key=lambda point: (point.name, point.value)):
        if point.name in packs or point.name == LIBRARY:
            reason = f"the pack {point.value} is left out: its name is taken."
            problems.append(InputWarning(point.name, reason))
            continue
        try:
            packs[point.name] = Pack(point.name, _sources(point.load()))
        except Exception as error:  # noqa: BLE001 - a pack may fail in any way, and must not take others along
            problems.append(
                InputWarning(point.name, f"the pack cannot be loaded: {type(error).__name__}: {error}")
            )
    return list(packs.values()), problems


def _sources(named: object) -> Mapping[str, Traversable | Mapping[str, Any]]:
    """Of what an entry point names."""
    if callable(named):
        named = named()
    if isinstance(named, ModuleType):
        return _files_in(resources.files(named))
    if isinstance(named, str):
        named = Path(named)
    if isinstance(named, Traversable):
        return _files_in(named)
    if isinstance(named, Mapping) and all(isinstance(table, Mapping) for table in named.values()):
        return {str(name): table for name, table in named.items()}
    reason = "neither a folder of part files nor a mapping of names to tables."
    raise InputError([InputProblem("", type(named).__name__, reason)])


def _files_in(folder: Traversable) -> dict[str, Traversable]:
    files = (entry for entry in folder.iterdir() if entry.is_file() and entry.name.endswith(_SUFFIX))
    return {entry.name.removesuffix(_SUFFIX): entry for entry in sorted(files, key=lambda entry: entry.name)}
