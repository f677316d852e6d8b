"""How Sphinx builds the manual; nothing in the pages is fetched from elsewhere when they are read."""

from __future__ import annotations

from typing import Any

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.application import Sphinx
from sphinx.util import logging

from laydown import __version__

project = "laydown"
author = "The laydown developers"
copyright = f"2026, {author}"
version = release = __version__

extensions = ["myst_parser"]
myst_enable_extensions = ["dollarmath"]
myst_heading_anchors = 3
myst_dmath_double_inline = True
suppress_warnings = []
exclude_patterns = ["_build"]
nitpicky = True

html_theme = "furo"
html_title = f"laydown {__version__}"
html_show_sphinx = False
html_copy_source = False
html_show_sourcelink = False
html_math_renderer = "mathml"

LETTERS = {r"\lfloor": "⌊", r"\rfloor": "⌋"}
"""Commands that the converter does not know behind a size such as \\Bigl."""

logger = logging.getLogger(__name__)


def setup(app: Sphinx) -> None:
    """Turn equations into MathML, which every browser draws by itself."""
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))


def _inline(translator: Any, node: Any) -> None:
    _write(translator, node, "inline")


def _block(translator: Any, node: Any) -> None:
    _write(translator, node, "block")


def _write(translator: Any, node: Any, display: str) -> None:
    text = node.astext()
    for command, letter in LETTERS.items():
        text = text.replace(command, letter)
    mathml = convert(text, display=display)
    if "\\" in mathml:
        logger.warning("a command of this equation is unknown: %s", node.astext(), location=node)
    translator.body.append(mathml)
    raise nodes.SkipNode
