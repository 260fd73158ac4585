"""What tests of pages need: a Chromium of the system and the modules that drive it.

Where something is missing they are skipped; with GATESWING_BROWSER=required, as in `./dev test`, they fail.
"""

import importlib
import os
import shutil
from typing import Any

import pytest

__all__ = ["executable", "module"]

_NAMES = ("chromium", "chromium-browser", "google-chrome")
_REQUIRED = os.environ.get("GATESWING_BROWSER") == "required"


def module(name: str) -> Any:
    """The module; to be called while a test file is collected."""
    return importlib.import_module(name) if _REQUIRED else pytest.importorskip(name)


def executable() -> str:
    """Path of the browser; to be called while a test file is collected."""
    found = next(filter(None, map(shutil.which, _NAMES)), None)
    if found is None and _REQUIRED:
        pytest.fail("there is no Chromium", pytrace=False)
    return found or pytest.skip("there is no Chromium", allow_module_level=True)
