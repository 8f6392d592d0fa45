"""Which layer plays which role: as the project file says, or guessed from the layers' names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from functools import cache

from ..findings import Notes, Place
from .settings import ROLES, LayerSettings

_GUESSES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("joints", ("joint",)),
    ("lift_outs", ("lift",)),
    ("obstacles", ("obstacle", "pillar")),
    ("devices", ("device", "motor", "machine", "servo", "electronic")),
    ("turnouts", ("turnout", "point", "switch")),
    ("tracks", ("track", "rail", "centreline", "centerline")),
    ("outline", ("outline", "edge", "board", "benchwork")),
)
"""Asked in this order: "board joints" are joints, "point motors" are devices."""


class Roles:
    """Layer name -> role, whatever the case of the name."""

    NAMES = ROLES
    WHOLE = ("turnouts", "devices", "lift_outs")
    """Roles whose block inserts are one thing each; blocks on other layers are opened."""

    def __init__(self, found: dict[str, str]) -> None:
        self._found = {layer.casefold(): role for layer, role in found.items()}

    @property
    def found(self) -> dict[str, str]:
        return dict(sorted(self._found.items()))

    def of(self, layer: str) -> str | None:
        return self._found.get(layer.casefold())

    def has_role(self, layer: str) -> bool:
        return self.of(layer) is not None

    def keeps_whole(self, layer: str) -> bool:
        return self.of(layer) in self.WHOLE

    def has(self, role: str) -> bool:
        return role in self._found.values()


def assign(
    layers: Iterable[str],
    settings: LayerSettings | None,
    file: str,
    project_key: str,
    notes: Notes,
) -> Roles:
    """Settle the role of every layer, saying what was guessed and what does not fit."""
    names = sorted(set(layers), key=lambda n: (n.casefold(), n))
    return _guess(names, file, notes) if settings is None else _named(names, settings, notes, project_key)


def need_outline(roles: Roles, layers: Iterable[str], file: str, problems: Notes) -> None:
    """Without an outline layer nothing can be built."""
    if not roles.has("outline"):
        shown = ", ".join(repr(n) for n in sorted(set(layers)))
        problems.fault(
            "BW-READ-008",
            "no layer of the drawing is known to hold the edge of the layout",
            Place(file=file, key="[drawing.layers] outline"),
            f'Write outline = ["…"] under [drawing.layers], or let `boardwright new` guess every layer. '
            f"Layers in the drawing: {shown}.",
        )


def _guess(names: list[str], file: str, notes: Notes) -> Roles:
    found: dict[str, str] = {}
    for name in names:
        words = name.casefold()
        if words == "defpoints":  # every drawing with dimensions has it
            continue
        role = next((r for r, signs in _GUESSES if any(s in words for s in signs)), None)
        if role:
            found[name] = role
    if found:
        by_role = {r: [n for n in names if found.get(n) == r] for r in ROLES}
        said = "; ".join(f"{r} = {', '.join(map(repr, n))}" for r, n in by_role.items() if n)
        notes.note(
            "BW-READ-007",
            f"the project file does not say what the layers hold; guessed from their names: {said}",
            Place(file=file),
            "Write the roles under [drawing.layers] to settle them.",
        )
    return Roles(found)


def _named(names: list[str], settings: LayerSettings, notes: Notes, key: str) -> Roles:
    found: dict[str, str] = {}
    for role in ROLES:
        for pattern in getattr(settings, role):
            matched = fitting(names, pattern)
            where = Place(key=f"{key} {role}")
            if not matched:
                tell_no_layer(names, pattern, where, notes)
            for name in matched:
                if found.setdefault(name, role) != role:
                    notes.caution(
                        "BW-READ-010",
                        f"layer {name!r} is named for {found[name]} and for {role}; read as {found[name]}",
                        where,
                        "Name the layer once.",
                    )
    return Roles(found)


def tell_no_layer(names: Sequence[str], pattern: str, where: Place, notes: Notes) -> None:
    """That no layer of the drawing is called so, and which nearly is."""
    near = difflib.get_close_matches(pattern, names, n=3, cutoff=0.5)
    mend = f"Did you mean {' or '.join(map(repr, near))}?" if near else _all(names)
    notes.caution("BW-READ-009", f"the drawing has no layer {pattern!r}", where, mend)


def fitting(names: Iterable[str], pattern: str) -> list[str]:
    """Those that a pattern of the project file means: case does not matter, * stands for any text."""
    fits = _pattern(pattern)
    return [n for n in names if fits.fullmatch(n)]


def _all(names: Sequence[str]) -> str:
    return f"Layers in the drawing: {', '.join(map(repr, names))}." if names else ""


@cache
def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(".*".join(re.escape(bit) for bit in text.split("*")), re.IGNORECASE | re.DOTALL)
