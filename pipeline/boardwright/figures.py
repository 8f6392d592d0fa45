"""What a layout comes to, in a few figures: what layouts and constructions are told apart by.

The core shows and compares figures without knowing what they mean; a stage of a plugin makes them. Of the
figures marked ``less_is_better`` a comparison of constructions marks the choices that no other beats in all.

What this does not know: which figures there are, and how much one of them is worth in another.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """One figure. ``value`` None: it could not be worked out. It is shown with so many ``digits`` behind the
    point; ``where`` says what it was found at; ``less`` and ``more`` are words for lower and higher."""

    key: str
    says: str
    unit: str = ""
    value: float | None
    digits: int = 0
    less_is_better: bool = False
    where: str = ""
    less: str = "less"
    more: str = "more"

    @property
    def shown(self) -> str:
        """The value as people read it, with its unit."""
        return "–" if self.value is None else f"{self.amount(self.value)} {self.unit}".strip()

    def amount(self, value: float) -> str:
        """A value, or the difference of two, with this figure's digits."""
        text = f"{value:.{self.digits}f}"
        return text.removeprefix("-") if float(text) == 0 else text


class Figures(msgspec.Struct, frozen=True, kw_only=True):
    """All figures of one layout, in the order they are shown."""

    figures: tuple[Figure, ...] = ()

    def get(self, key: str) -> Figure | None:
        return next((f for f in self.figures if f.key == key), None)


def in_a_line(figures: Iterable[Figure]) -> str:
    """What is known of them as one sentence; empty when nothing is."""
    known = [f for f in figures if f.value is not None]
    told = "; ".join(f"{f.says.lower()} {f.shown}" + f" ({f.where})" * bool(f.where) for f in known)
    return f"{told[:1].upper()}{told[1:]}." if told else ""
