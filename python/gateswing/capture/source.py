"""The text of a capture: encoding, line ends, head, and blocks of whole lines."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..errors import InputError, InputProblem

__all__ = ["Source", "bad_file"]

# They bound the memory: a layout shows within the head, and no row of numbers is longer than that.
HEAD_BYTES = 1 << 18
BLOCK_BYTES = 1 << 22

_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def bad_file(path: Path, reason: str, hint: str = "", line: int | None = None) -> InputError:
    """The error for a file that cannot be used, with the line where that is known."""
    where = str(path) if line is None else f"{path}, line {line}"
    return InputError([InputProblem(where, None, reason, hint=hint)])


@dataclass(frozen=True)
class Source:
    """A text file, opened as often as it is read.

    Attributes:
        path: of the file.
        encoding: by byte order mark, else UTF-8, else Latin-1, which takes any byte.
        encoding_is_given: or guessed.
        lines: whole lines of the head, without their ends.
        is_whole: whether the head is the whole file.
        has_bare_returns: lines end with CR alone.
    """

    path: Path
    encoding: str
    encoding_is_given: bool
    lines: tuple[str, ...]
    is_whole: bool
    has_bare_returns: bool

    @classmethod
    def of(cls, path: Path, encoding: str | None = None) -> Source:
        """Look at the head of a file.

        Raises:
            InputError: the file cannot be read, is empty, is no text, or not in the encoding given.
        """
        try:
            with path.open("rb") as file:
                raw = file.read(HEAD_BYTES)
                is_whole = not file.read(1)
        except OSError as error:
            raise bad_file(path, f"cannot be read: {error.strerror}.") from None
        found = encoding or _encoding_of(raw, is_whole)
        if not raw.strip():
            raise bad_file(path, "holds nothing.")
        text = _decoded(path, raw, found)
        if "\0" in text:
            raise bad_file(path, "is no text; it holds zero bytes.", "Export the capture as CSV.")
        bare = "\n" not in text and "\r" in text
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        return cls(
            path, found, encoding is not None, tuple(lines if is_whole else lines[:-1]), is_whole, bare
        )

    @property
    def is_one_line(self) -> bool:
        """Whether the head does not even hold one whole line."""
        return not self.lines

    def start_of_line(self, characters: int) -> str:
        """Begin of the first line, for a file whose first line is longer than the head."""
        with self._opened() as file:
            return str(bytes(file.read(characters)).decode("latin-1"))

    def blocks(self, first_line: int = 1, separator: bytes = b"\n") -> Iterator[tuple[int, bytes]]:
        """Blocks of whole lines from `first_line` on, each with the number of its first line.

        Args:
            first_line: counted from 1.
            separator: what ends a line beside the line ends; a comma for values on one line.

        Raises:
            InputError: a line is longer than a row of numbers can be.
        """
        number, rest, skip = 1, b"", first_line - 1
        with self._opened() as file:
            while raw := bytes(file.read(BLOCK_BYTES)):
                block = rest + (raw.replace(b"\r", b"\n") if self.has_bare_returns else raw)
                if separator != b"\n":
                    block = block.replace(separator, b"\n")
                cut = block.rfind(b"\n") + 1
                if len(block) - cut > HEAD_BYTES:
                    line = number + block.count(b"\n", 0, cut)
                    raise bad_file(
                        self.path, f"longer than {HEAD_BYTES} bytes.", "No row of numbers is.", line
                    )
                block, rest = block[:cut], block[cut:]
                begin = 0
                while skip and begin < len(block):
                    begin, skip, number = block.find(b"\n", begin) + 1, skip - 1, number + 1
                block = block[begin:]
                if block:
                    yield number, block
                number += block.count(b"\n")
        if rest.strip() and not skip:
            yield number, rest

    def _opened(self) -> Any:
        """The bytes from the first character on, in UTF-8 or Latin-1."""
        file = self.path.open("rb")
        if self.encoding == "utf-8-sig":
            file.read(len(codecs.BOM_UTF8))
        if self.encoding in ("utf-8", "utf-8-sig", "latin-1", "ascii"):
            return file
        return codecs.EncodedFile(file, "utf-8", self.encoding, errors="replace")


def _encoding_of(raw: bytes, is_whole: bool) -> str:
    for mark, name in _BYTE_ORDER_MARKS:
        if raw.startswith(mark):
            return name
    try:
        # A character may be cut at the end of the head.
        codecs.getincrementaldecoder("utf-8")().decode(raw, final=is_whole)
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def _decoded(path: Path, raw: bytes, encoding: str) -> str:
    try:
        "1".encode(encoding)  # refuses codecs from bytes to bytes, a compression among them
        return codecs.getincrementaldecoder(encoding)().decode(raw)
    except (LookupError, ValueError):
        raise bad_file(path, f"is no text in the encoding {encoding!r}.", "Give encoding=.") from None
