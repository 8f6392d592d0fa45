"""Materials whose mass is not known, with the setting that names them.

Glossary
    known material  one with a row in the table of densities; masses need it

What this does not know: which setting a club's own framing rule takes its material from; the material is
told then, without a key.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright import Finding, Place, Severity
from boardwright_timber.model import Member
from boardwright_timber.reference import MATERIALS, UnknownMaterialError

from ..framing.settings import FramingSettings


def refuse_unknown(framing: FramingSettings, members: Iterable[Member]) -> None:
    """Raises UnknownMaterialError with every setting under [framing] that must change."""
    used = {m.material for m in members}
    asked = [("deck_material", framing.deck_material)]
    if framing.member_material in used:
        asked.insert(0, ("member_material", framing.member_material))
    if framing.joist_material in used:
        asked.append(("joist_material", framing.joist_material))
    refuse_unknown_in("framing", asked)


def refuse_unknown_in(table: str, asked: Iterable[tuple[str, str]]) -> None:
    """Raises UnknownMaterialError with every setting (key, material) under [table] that must change."""
    if unknown := [(key, material) for key, material in asked if material not in MATERIALS]:
        raise UnknownMaterialError([_told(table, key, material) for key, material in unknown])


def _told(table: str, key: str, material: str) -> Finding:
    known = ", ".join(f'"{m}"' for m in MATERIALS)
    return Finding(
        code="BW-TIMBER-001",
        severity=Severity.FAULT,
        says=f'[{table}] {key} is "{material}", a material that is not known',
        where=(Place(key=f"[{table}] {key}"),),
        mend=f"Change {key} under [{table}] to one of {known}.",
    )
