"""Contrast of every ink on every ground it stands on, light and dark, reckoned from the style sheet.

Formula and limits: WCAG 2.1, relative luminance; 4.5 for text (1.4.3), 3 for what must be made out in a
picture (1.4.11). Source: W3C Recommendation (memory).
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from boardwright_outputs.drawings.svg import style

TEXT, PICTURE = 4.5, 3.0
PAIRS = (
    *((ink, "paper", TEXT) for ink in ("ink", "soft", "link", "fault", "caution", "mended", "good")),
    *((ink, "band", TEXT) for ink in ("ink", "soft", "link")),
    *((ink, f"{ink}-bg", TEXT) for ink in ("fault", "caution", "mended")),
    *(("soft", f"{kind}-bg", TEXT) for kind in ("fault", "caution", "mended")),
    *(("ink", f"new-{way}", PICTURE) for way in ("top", "left", "right")),
    *(("ink", f"old-{way}", TEXT) for way in ("top", "left", "right")),
    ("soft", "paper", PICTURE),  # the rim of a button
)


def colours(sheet: str, dark: bool) -> dict[str, str]:
    """The variables of the style sheet; on a dark page later ones replace them."""
    rules = re.findall(r"(@media screen and \(prefers-color-scheme:dark\)\{)?:root\{(.*?)\}", sheet)
    found: dict[str, str] = {}
    for in_dark, body in rules:
        if dark or not in_dark:
            found |= dict(re.findall(r"--([\w-]+):(#[0-9a-fA-F]{3,6})", body))
    return found


def luminance(colour: str) -> float:
    digits = colour[1:]
    if len(digits) == 3:
        digits = "".join(2 * d for d in digits)
    shares = (int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4))
    r, g, b = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: str, b: str) -> float:
    """From 1 (the same) to 21 (black on white)."""
    dim, bright = sorted((luminance(a), luminance(b)))
    return (bright + 0.05) / (dim + 0.05)


def test_the_formula() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("dark", [False, True])
def test_every_ink_on_its_ground(dark: bool) -> None:
    sheet = files("boardwright_outputs.book").joinpath("style.css").read_text("utf-8") + style()
    found = colours(sheet, dark)
    poor = [(a, b, round(c, 2)) for a, b, least in PAIRS if (c := contrast(found[a], found[b])) < least]
    assert poor == []
    inks = [name for name in found if name.startswith("r-")]
    assert len(inks) > 10
    faint = [n for n in inks if contrast(found[n], found["paper"]) < PICTURE]
    assert faint == []
