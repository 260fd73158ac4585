"""The reference of the C++ library, taken from its headers: what each holds, and every commented declaration.

A page says ``% headers of STAGE`` where the headers of that stage are to stand. Comments are text; what
is set in, as equations are, keeps its layout.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["described", "setup"]

_ROOT = Path(__file__).parents[2]
_MARK = re.compile(r"^% headers of (\w+)\n", re.MULTILINE)
_COMMENT = re.compile(r"^//(?:/|(?= )|$)")
# A type whose members, with their units, or enumerators are to be shown.
_WITH_MEMBERS = re.compile(r"(?:template <[^\n]*>\n)?(?:struct|enum class|class)\b[^;{]*\{")
_DECLARATION = re.compile(r"(?!using|namespace)[a-z\[A-Z]")


def described(path: Path) -> str:
    """One header as Markdown: a heading, its first comment, and each declaration below its own comment."""
    text = path.read_text(encoding="utf-8")
    head, _, body = text.partition("#pragma once\n")
    title = path.relative_to(_ROOT / "cpp")
    parts = [f"## {path.name}", _prose(head.splitlines()), f"`#include <{title}>`"]
    for comment, declaration in _declarations(body):
        parts += [f"```{{code-block}} cpp\n:force:\n\n{declaration}\n```", _prose(comment)]
    return "\n\n".join(parts) + "\n"


def _declarations(body: str) -> Iterator[tuple[list[str], str]]:
    """Comment and declaration, at the outermost level, of every type and of all else that has a comment."""
    lines = body.splitlines()
    place = 0
    while place < len(lines):
        start = place
        while place < len(lines) and _COMMENT.match(lines[place]):
            place += 1
        following = "\n".join(lines[place:])
        if _WITH_MEMBERS.match(following) or (place > start and _DECLARATION.match(following)):
            declaration = _declaration(following)
            yield lines[start:place], declaration
            place += declaration.count("\n")
        place += 1


def _declaration(text: str) -> str:
    """The public part of a type; a function or constant without its body."""
    if not _WITH_MEMBERS.match(text):
        end = re.search(r"\s*(?:\{|;|= )", text)
        return f"{text[: end.start()]};" if end else text
    end = re.search(r"\};$", text, re.MULTILINE)
    whole = text[: end.end()] if end else text
    public, private, _ = whole.partition("\n private:\n")
    return f"{public.rstrip()}\n}};" if private else whole


def _prose(comment: list[str]) -> str:
    """Comment lines as Markdown: paragraphs, and what is set in as it stands."""
    lines = [_COMMENT.sub("", line).removeprefix(" ") for line in comment]
    parts: list[str] = []
    kind = ""
    for line in lines:
        new = "literal" if line.startswith("  ") else "text" if line.strip() else ""
        if new and new == kind:
            parts[-1] += f"\n{line}"
        elif new:
            parts.append(line)
        kind = new
    return "\n\n".join(_literal(part) if part.startswith("  ") else _plain(part) for part in parts)


def _literal(part: str) -> str:
    return f"```text\n{part}\n```"


def _plain(part: str) -> str:
    """Nothing in a comment is markup but code between single backquotes."""
    return re.sub(r"(`[^`\n]+`)|([\\`*_{}\[\]<>#$|~])", lambda found: found[1] or f"\\{found[2]}", part)


def setup(app: Any) -> dict[str, Any]:
    """Fill the marks of pages as they are read."""
    app.connect("source-read", _read)
    return {"parallel_read_safe": True}


def _read(app: Any, page: str, source: list[str]) -> None:
    for stage in _MARK.findall(source[0]):
        for path in sorted((_ROOT / "cpp/gateswing" / stage).glob("*.h")):
            app.env.note_dependency(str(path), docname=page)

    def headers(match: re.Match[str]) -> str:
        paths = sorted((_ROOT / "cpp/gateswing" / match[1]).glob("*.h"))
        return "\n".join(map(described, paths))

    source[0] = _MARK.sub(headers, source[0])
