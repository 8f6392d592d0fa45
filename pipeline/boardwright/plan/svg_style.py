"""Which SVG elements are hidden: by attribute, by ``style``, or by a plain rule of the file's style sheet.

What this does not know: the rest of CSS. Rules with more than one class, id or tag in a row are passed over.
"""

from __future__ import annotations

import re

from .svg_xml import Element

_RULE = re.compile(r"([^{}]*)\{([^{}]*)\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SIMPLE = re.compile(r"[.#]?[\w-]+")


class Styles:
    """``display`` and ``visibility`` of every element; nothing else of a style is of use here."""

    def __init__(self, root: Element) -> None:
        self._rules: dict[str, dict[str, str]] = {}
        for sheet in (e for e in root.walk() if e.tag == "style"):
            for selectors, body in _RULE.findall(_COMMENT.sub(" ", sheet.text)):
                said = _declared(body)
                for selector in selectors.split(","):
                    if said and _SIMPLE.fullmatch(selector.strip()):
                        self._rules.setdefault(selector.strip(), {}).update(said)

    def hides(self, element: Element) -> bool:
        """Whether an element itself says that it is not to be seen (its groups may say so too)."""
        said = {k: element.get(k).strip() for k in ("display", "visibility") if element.get(k)}
        names = [element.tag, *("." + c for c in element.get("class").split())]
        for name in [*names, "#" + element.get("id")]:
            said |= self._rules.get(name, {})
        said |= _declared(element.get("style"))
        return said.get("display") == "none" or said.get("visibility") in ("hidden", "collapse")


def _declared(text: str) -> dict[str, str]:
    found = {}
    for one in text.split(";"):
        name, _, value = one.partition(":")
        if name.strip() in ("display", "visibility"):
            found[name.strip()] = value.replace("!important", "").strip()
    return found
