"""Sizes of paper, short side and long side in millimetres.

A series: ISO 216. Letter and Tabloid: ANSI/ASME Y14.1, 8½ × 11 and 11 × 17 inches. (Both from memory.)
"""

from __future__ import annotations

SIZES_MM = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
