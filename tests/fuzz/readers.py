"""Fuzzes one reader: ``readers.py TARGET [option of libFuzzer]...``, as `./dev fuzz` does for each."""

import importlib
import sys

import atheris

# Whose branches are counted, which must be imported in there: the package imports much of itself at need.
_CAPTURES = tuple(
    f"gateswing.capture.{name}"
    for name in ("source", "layout", "heading", "table", "time_axis", "capture", "read")
)
_TABLES = (
    "tomllib._parser", "gateswing.quantities", "gateswing.model", "gateswing.document",
    "gateswing.library.part_file", "gateswing.library.part_library", "gateswing.datasheet.sheet",
    "gateswing.circuit.design_file",
)  # fmt: skip

if __name__ == "__main__":
    name = sys.argv.pop(1)
    modules = _CAPTURES if name == "capture" else _TABLES
    with atheris.instrument_imports(include=list(modules)):
        for module in modules:
            importlib.import_module(module)
    from targets import TARGETS

    atheris.Setup(sys.argv, TARGETS[name])
    atheris.Fuzz()
