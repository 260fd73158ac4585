"""The command ``gateswing`` as ``python -m gateswing``."""

from .cli import main

if __name__ == "__main__":
    main(prog_name="gateswing")
