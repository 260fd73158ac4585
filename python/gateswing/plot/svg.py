"""Pictures as elements of a page: inline SVG with its text as text."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree as ET

import matplotlib as mpl
from matplotlib.figure import Figure

__all__ = ["svg_of"]

_REFERENCE = re.compile(r"(#)([\w.-]+)")
# What the style sheet inside matplotlib's files says of every element. On a page it would hold for them all.
_INHERITED = {"stroke-linejoin": "round", "stroke-linecap": "butt"}


def svg_of(figure: Figure, name: str, title: str) -> str:
    """The picture as an ``<svg>`` element that fills the width it is given.

    Args:
        figure: a picture.
        name: put before every id, so that several pictures fit one page.
        title: what the picture shows, for those who do not see it.
    """
    # A fixed salt: the same picture gives the same text.
    with io.BytesIO() as file, mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": name}):
        figure.savefig(file, format="svg", metadata={"Date": None})
        root = ET.fromstring(file.getvalue())
    _leave_out(root, {"metadata", "style"})
    _tidy(root, name)
    root.attrib |= _INHERITED | {"role": "img", "aria-labelledby": f"{name}-title"}
    for size in ("width", "height", "version"):
        root.attrib.pop(size, None)
    caption = ET.Element("title", {"id": f"{name}-title"})
    caption.text = title
    root.insert(0, caption)
    return ET.tostring(root, encoding="unicode")


def _leave_out(root: ET.Element, tags: set[str]) -> None:
    for parent in root.iter():
        for child in [one for one in parent if _local(one.tag) in tags]:
            parent.remove(child)


def _tidy(root: ET.Element, name: str) -> None:
    """Names without their namespaces, which a page gives by itself, and ids of this picture alone."""
    wanted = {
        found[2]
        for element in root.iter()
        for value in element.attrib.values()
        for found in _REFERENCE.finditer(value)
    }
    for element in root.iter():
        element.tag = _local(element.tag)
        attributes = {_local(key): value for key, value in element.attrib.items()}
        if attributes.get("id", "") not in wanted:
            attributes.pop("id", None)
        else:
            attributes["id"] = f"{name}-{attributes['id']}"
        for key, value in attributes.items():
            if key == "href" or "url(#" in value:
                attributes[key] = _REFERENCE.sub(rf"\1{name}-\2", value)
        element.attrib.clear()
        element.attrib.update(attributes)


def _local(name: str) -> str:
    return name.rpartition("}")[2]
