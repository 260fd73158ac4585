"""Settings of the documentation site; `./dev docs` builds it into `out/docs`."""

import sys
from pathlib import Path

import matplotlib as mpl

import gateswing

sys.path.insert(0, str(Path(__file__).parent / "extensions"))

project = "gateswing"
author = "gateswing contributors"
project_copyright = author
version = release = gateswing.__version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "live_code",
    "cpp_reference",
    "field_tables",
    "mathml",
]
exclude_patterns = ["extensions"]
myst_enable_extensions = ["dollarmath", "deflist"]
myst_heading_anchors = 3
# Attributes of results are looked up as cross-references by their bare names, which several results share.
suppress_warnings = ["ref.python"]

autodoc_default_options = {"members": True}
autodoc_member_order = "bysource"
autodoc_typehints = "none"
napoleon_google_docstring = True
napoleon_numpy_docstring = False
napoleon_use_ivar = True
napoleon_use_rtype = False
# Docstrings name parameters, values and shapes in single backquotes.
default_role = "code"

html_theme = "furo"
html_math_renderer = "mathml"
html_title = f"gateswing {version}"
_FONT = Path(mpl.get_data_path()) / "fonts" / "ttf" / "STIXGeneral.ttf"
html_static_path = ["extensions/site.css", str(_FONT)]
html_css_files = ["site.css"]
html_show_sourcelink = False
html_copy_source = False
