"""One page about a design: what was found, what it rests on, and how far to trust it."""

from .page import Report, report

__all__ = ["Report", "report"]
