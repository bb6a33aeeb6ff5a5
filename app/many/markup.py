"""Pieces of HTML that are well-formed XML, too: every text escaped, every element closed.

>>> element("p", text("fish & chips"), class_="said")
'<p class="said">fish &amp; chips</p>'
>>> element("img", src="a.jpg", alt="", width=3)
'<img src="a.jpg" alt="" width="3" />'
"""

from __future__ import annotations

import re
from html import escape

from proofing.ordering.summary import readable

_VOID = {"img", "meta", "br", "hr", "link"}
_NOT_IN_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def text(said: object) -> str:
    """A text, escaped, without what no XML may hold."""
    return escape(_NOT_IN_XML.sub("\ufffd", readable(str(said))), quote=True)


def element(tag: str, /, *content: str, **attributes: object) -> str:
    """An element.

    Parameters
    ----------
    tag
        Its name.
    content
        Pieces inside it, escaped already.
    attributes
        Escaped here; ``class_`` stands for class, ``aria_label`` for aria-label.
    """
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{text(value)}"' for key, value in attributes.items()
    )
    if tag in _VOID:
        return f"<{tag}{given} />"
    return f"<{tag}{given}>{''.join(content)}</{tag}>"
