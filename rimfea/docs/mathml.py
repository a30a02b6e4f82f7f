"""Formulas as MathML, which a browser draws by itself: no script, no network, no pictures."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.errors import ExtensionError

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.util.typing import ExtensionMetadata
    from sphinx.writers.html5 import HTML5Translator

SPACED = re.compile(r"\\(cos|sin|ln)(\^\w)?(?![a-z])")  # TeX puts a thin space about these


def as_mathml(latex: str, display: str) -> str:
    """A formula in LaTeX as MathML, ``display`` inline or block. Raises
    :class:`~sphinx.errors.ExtensionError` for a command that is not known.
    """
    found = str(convert(SPACED.sub(r"\\,\g<0>\\,", latex), display=display))
    if "\\" in found or ">&<" in found:  # a command, or columns of a table, left as they were
        raise ExtensionError(f"this formula has a command that MathML is not made of: {latex}")
    return found


def _inline(page: HTML5Translator, node: nodes.math) -> None:
    page.body.append(as_mathml(node.astext(), "inline"))
    raise nodes.SkipNode


def _block(page: HTML5Translator, node: nodes.math_block) -> None:
    page.body.append(f'<div class="formula">{as_mathml(node.astext(), "block")}</div>\n')
    raise nodes.SkipNode


def setup(app: Sphinx) -> ExtensionMetadata:
    """Tell Sphinx of the renderer."""
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
