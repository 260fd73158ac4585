"""What tests of pictures ask of a figure: its texts, and that something is drawn."""

from pathlib import Path

from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.text import Text

__all__ = ["assert_drawn", "texts"]


def texts(figure: Figure) -> str:
    """All of them, one in a line."""
    return "\n".join(found.get_text() for found in figure.findobj(Text) if isinstance(found, Text))


def assert_drawn(figure: Figure, folder: Path) -> None:
    """Written to a file it is neither tiny nor of one colour."""
    path = folder / "figure.png"
    figure.savefig(path)
    image = plt.imread(path)
    assert image.shape[0] > 200
    assert image.shape[1] > 200
    assert image[..., :3].std() > 0.05
