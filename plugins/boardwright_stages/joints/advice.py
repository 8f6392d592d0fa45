"""Why no bolt fits a joint, and what would make one fit: tried out, not guessed.

Claim: a smaller bolt is named only where it was tried and has a place in both boards.
"""

from __future__ import annotations

from boardwright_timber.model import Joint
from boardwright_timber.reference import TIMBER_WASHERS

from .access import turned
from .bores import bolt_bore
from .mating import Mate, clear_for
from .settings import Bore, JointSettings
from .spans import common, union

SMALLER = ("M8", "M6", "M5")
NAMED = 4  # of what stands in the way; the board's drawing shows them all
AIR_MM = 2.0  # round a washer: what the default rooms leave, too


def why_none_fits(
    joint: Joint,
    ours: tuple[Mate, ...],
    theirs: tuple[Mate, ...],
    settings: JointSettings,
    bore: Bore,
    z_mm: float,
) -> tuple[str, str]:
    """What is in the way of every bolt at this height, and the mend."""
    met = common(union(m.face for m in ours), union(m.face for m in theirs))
    longest = max((b - a for a, b in met), default=0.0)
    needed = 2 * bore.end_margin_mm
    names = tuple(dict.fromkeys(name for m in (*ours, *theirs) for name in m.behind))
    smaller = _smaller(ours, theirs, settings, z_mm, joint.drop_mm)
    mends = []
    if smaller is not None:
        mends.append(
            f'Set joints.bolt_size = "{smaller.bolt_size}" with joints.spanner_room_mm = '
            f"{smaller.spanner_room_mm:g}: that fits"
        )
    if longest < needed:
        why = (
            f"its ends face each other over {longest:.0f} mm, and a bolt needs {needed:g} mm "
            f"({settings.end_distance_diameters:g} diameters to either end)"
        )
        mends.append(f"move the joint to where {'both boards are' if mends else 'they are'} wider")
    else:
        told = [*names[:NAMED], f"{len(names) - NAMED} more"] if len(names) > NAMED + 1 else names
        why = f"behind it stand {', '.join(told)}" if names else "nothing is left between its margins"
        why += ", and no spanner turns between them" if names and clear_for(ours, theirs, bore) else ""
        moved = [name for name in names if not name.startswith(("side ", "end "))]
        if moved:
            which = " or ".join(moved) if len(moved) <= NAMED else "what stands behind it"
            mends.append(f"move {which} {bore.room_mm:g} mm along or away from it")
        mends.append("move the joint to where more of it is clear")
    mend = "; or ".join(mends)
    return why, mend[0].upper() + mend[1:] + "."


def _smaller(
    ours: tuple[Mate, ...], theirs: tuple[Mate, ...], settings: JointSettings, z_mm: float, drop_mm: float
) -> JointSettings | None:
    """The thickest smaller bolt that fits, with the room its timber washer needs."""
    for size in SMALLER:
        tried = settings.changed(bolt_size=size, spanner_room_mm=TIMBER_WASHERS[size].diameter_mm + AIR_MM)
        smaller = tried.bolt_diameter_mm < settings.bolt_diameter_mm
        places = clear_for(ours, theirs, bolt_bore(tried))
        if smaller and turned(places, ours, theirs, (z_mm, z_mm + drop_mm), tried.fastener, tried):
            return tried
    return None
