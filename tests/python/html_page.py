"""A page in HTML, taken apart by Python's own parser."""

import re
from html.parser import HTMLParser

__all__ = ["Page"]

VOID = frozenset({"meta", "br", "hr", "img", "input", "link"})


class Page(HTMLParser):
    """What a page holds: elements, text by element, and whether every tag is closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: list[tuple[str, str]] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((self._open[-1] if self._open else "", data))

    def all_of(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]

    def text(self, *tags: str) -> str:
        """The text of some elements, or of all that is shown, in one line."""
        hidden = ("script", "style")
        found = [text for tag, text in self.texts if (tag in tags if tags else tag not in hidden)]
        return re.sub(r" ([.,])", r"\1", re.sub(r"\s+", " ", " ".join(found)))

    def script(self) -> str:
        """The one script that runs."""
        return next(text for tag, text in reversed(self.texts) if tag == "script")
