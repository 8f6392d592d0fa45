"""What holds the rails at the joints: for each track that crosses, something on each of the two boards.

A plate is copper-clad, glued and screwed to the deck at its very edge, and the rails are soldered to it; or
each rail is soldered to a brass screw. The splitting keeps turnouts and devices clear of
that strip; ``joints.rails`` says where it is.
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardwright_timber.model import BoardFixings, HardwareLine

from .settings import HardwareSettings

SCREWS_EACH = 2


def rail_lines(fixings: BoardFixings, settings: HardwareSettings) -> Iterator[HardwareLine]:
    """One line for this board's own edges."""
    ends = len(fixings.rails)
    if not ends or settings.rail_fixing == "none":
        return
    plates = settings.rail_fixing == "plates"
    joints = ", ".join(dict.fromkeys(strip.joint for strip in fixings.rails))
    yield HardwareLine(
        item="rail-plate" if plates else "rail-screw",
        says="Copper-clad plate under the rails at a joint, as wide as the sleepers"
        if plates
        else "Brass screw under a rail at a joint, its head at the rail's foot",
        quantity=ends if plates else SCREWS_EACH * ends,
        unit="piece",
        why=f"{ends} track ends of this board at joints {joints}",
    )
