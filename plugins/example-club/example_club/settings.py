"""What our club decides: the ``[club]`` table."""

from typing import Annotated

import msgspec
from boardwright import Section


class ClubSettings(Section, frozen=True, kw_only=True, table="club"):
    joist_spacing_mm: Annotated[
        float, msgspec.Meta(gt=0, description="Our joists stand no further apart than this.")
    ] = 300.0
    crate_room_mm: Annotated[
        float, msgspec.Meta(ge=0, description="Free room above the deck of a board that travels in a crate.")
    ] = 160.0
    crate_play_mm: Annotated[
        float, msgspec.Meta(ge=0, description="Play all round a pair of boards in its crate.")
    ] = 5.0
