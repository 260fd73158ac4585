"""Parts by name: generic ones that come with the package, and those of installed packs."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from ..errors import InputError, InputProblem, InputWarning, issue, shown
from ..model import Model, choice
from ..tables import Section, html_page, text_page
from .part_file import Corner, Part, PartFile
from .part_packs import LIBRARY, Pack, installed_packs, library

__all__ = ["PartLibrary", "part", "part_file", "part_or_fields", "parts"]

_HEADER = ("part", "kind", "title")
_KINDS = ("mosfet", "diode", "driver")
_MOST_HINTS = 3


class PartLibrary(Mapping[str, PartFile]):
    """Part files by name; prints as a table.

    A name that several packs have is written ``pack/name``, except for the library that comes with the
    package: its parts keep their plain names whatever is installed.
    """

    def __init__(self, files: Mapping[str, PartFile], problems: tuple[InputWarning, ...]) -> None:
        self._files = dict(files)
        self.problems = problems

    def __getitem__(self, name: str) -> PartFile:
        return self._files[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)

    def rows(self) -> list[tuple[str, str, str]]:
        """Name, kind and title of each part."""
        return [(name, file.kind, file.title) for name, file in self.items()]

    def to_mapping(self) -> dict[str, Any]:
        """Everything but the values as plain data."""
        return {
            "parts": [
                {"name": name, "kind": file.kind, "title": file.title, "source": file.source}
                for name, file in self.items()
            ],
            "problems": [{"path": one.path, "message": one.message} for one in self.problems],
        }

    def __repr__(self) -> str:
        return text_page(self._sections(), self._notes())

    def _repr_html_(self) -> str:
        return html_page(self._sections(), self._notes())

    def _sections(self) -> list[Section]:
        return [Section("", self.rows(), _HEADER, frozenset())]

    def _notes(self) -> list[str]:
        return [f"warning: {problem}" for problem in self.problems]


def part(name: str, *, corner: Corner = "typ") -> Part:
    """A part of the library, or of an installed pack.

    Args:
        name: as :func:`parts` lists it, or ``pack/name``.
        corner: which limit of the values that have a range; see :meth:`gateswing.PartFile.build`.

    Raises:
        InputError: no such part, a name that several packs have, or a corner that it does not state.
    """
    return part_file(name).build(corner)


def parts(kind: str | None = None) -> PartLibrary:
    """All parts, or those of one kind: ``mosfet``, ``diode`` or ``driver``.

    What is wrong with an installed pack is issued as a warning and kept in ``problems``.

    Raises:
        InputError: no such kind.
    """
    if kind is not None:
        choice("kind", kind, _KINDS, "kind of part")
    packs, problems = installed_packs()
    every = [library(), *packs]
    files: dict[str, PartFile] = {}
    for name, (pack, plain) in _names(every).items():
        try:
            files[name] = pack.read(plain)
        except InputError as error:
            reasons = " ".join(str(problem) for problem in error.problems)
            problems.append(InputWarning(f"{pack.name}/{plain}", f"left out: {reasons}"))
    problems += _clashes(every)
    issue(problems)
    wanted = {name: file for name, file in files.items() if kind in (None, file.kind)}
    return PartLibrary(wanted, tuple(problems))


def part_or_fields(given: object, kind: str) -> object:
    """What a field that takes a part was given, with a part named there replaced by its fields.

    A text is the name of a part. A table with the entry ``part`` is that part, at the ``corner`` given there,
    with the other entries changed. Anything else stays as it is.

    Raises:
        InputError: no such part, or one of another kind.
    """
    if isinstance(given, str):
        given = {"part": given}
    if not isinstance(given, Mapping) or "part" not in given:
        return given
    changes = {name: value for name, value in given.items() if name not in ("part", "corner")}
    file = part_file(given["part"])
    if file.kind != kind:
        raise InputError([InputProblem("", shown(given["part"]), f"is a {file.kind}, not a {kind}.")])
    corner = given.get("corner", "typ")
    if not isinstance(corner, str | Mapping):
        reason = "neither a corner nor a table of paths and corners."
        raise InputError([InputProblem("corner", shown(corner), reason)])
    found = file.build(corner)
    found = found.replace(dict(_dotted(found, changes)))
    return {name: getattr(found, name) for name in type(found).model_fields}


def _dotted(model: Model, changes: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """Changes in nested tables by dotted path, as far down as there are descriptions to be changed."""
    for name, value in changes.items():
        current = getattr(model, name, None)
        if isinstance(value, Mapping) and isinstance(current, Model) and "part" not in value:
            yield from _dotted(current, value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", value


def part_file(name: object) -> PartFile:
    """The part file of a name, for its ranges and where its values come from.

    Raises:
        InputError: as of :func:`part`.
    """
    if not isinstance(name, str):
        raise InputError([InputProblem("part", shown(name), "not the name of a part.")])
    own = library()
    if name in own.sources:
        return _read(own, name)
    packs, problems = installed_packs()
    every = [own, *packs]
    having = [pack for pack in every if name in pack.sources]
    names = _names(every)
    if len(having) > 1:
        choice = ", ".join(f"{pack.name}/{name}" for pack in having)
        raise InputError([InputProblem("", repr(name), "several packs have a part of this name.", choice)])
    by_full_name = {f"{pack.name}/{plain}": (pack, plain) for pack in every for plain in pack.sources}
    found = names.get(name) or by_full_name.get(name)
    if found is None:
        raise InputError([_no_such_part(name, list(names), problems)])
    return _read(*found)


def _read(pack: Pack, plain: str) -> PartFile:
    """With the name of the part before the path of each problem."""
    try:
        return pack.read(plain)
    except InputError as error:
        raise InputError(problem.below(f"{pack.name}/{plain}") for problem in error.problems) from None


def _no_such_part(name: str, known: list[str], problems: list[InputWarning]) -> InputProblem:
    lowered = {one.lower(): one for one in known}
    near = difflib.get_close_matches(name.lower(), lowered, n=_MOST_HINTS, cutoff=0.4)
    close = " or ".join(repr(lowered[one]) for one in near)
    hints = [f"Did you mean {close}?" if close else "", "`gateswing parts` lists them."]
    hints += [f"Not searched: {problem}" for problem in problems]
    return InputProblem("", repr(name), "no such part.", hint=" ".join(hint for hint in hints if hint))


def _names(packs: list[Pack]) -> dict[str, tuple[Pack, str]]:
    """Pack and plain name of each part by the name to use for it."""
    own, *others = packs
    found = {name: (own, name) for name in own.sources}
    counts = Counter(name for pack in packs for name in pack.sources)
    for pack in others:
        for name in pack.sources:
            found[name if counts[name] == 1 else f"{pack.name}/{name}"] = (pack, name)
    return found


def _clashes(packs: list[Pack]) -> list[InputWarning]:
    counts = Counter(name for pack in packs for name in pack.sources)
    found = []
    for name, count in counts.items():
        if count > 1:
            having = [pack.name for pack in packs if name in pack.sources]
            plain = f"; {name} alone is the library's" if LIBRARY in having else ""
            choice = ", ".join(f"{pack}/{name}" for pack in having)
            found.append(InputWarning(name, f"several packs have it, so write one of {choice}{plain}."))
    return found
