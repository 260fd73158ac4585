"""Equations as MathML, which browsers draw themselves: a page needs no script and no network for them."""

from __future__ import annotations

from typing import Any

from docutils import nodes
from docutils.utils.math.latex2mathml import tex2mathml

__all__ = ["setup"]


def setup(app: Any) -> dict[str, Any]:
    """Make the renderer known to Sphinx by the name ``mathml``."""
    app.add_html_math_renderer("mathml", (_inline, None), (_display, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}


def _inline(translator: Any, node: Any) -> None:
    translator.body.append(tex2mathml(node.astext(), as_block=False))
    raise nodes.SkipNode


def _display(translator: Any, node: Any) -> None:
    translator.body.append(f'<div class="equation">{tex2mathml(node.astext(), as_block=True)}</div>')
    raise nodes.SkipNode
