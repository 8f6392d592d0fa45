"""How much has been tried, counted in boards thought to come out of each try: never in seconds."""

from __future__ import annotations

import msgspec


class Effort(msgspec.Struct):
    boards: float = 0.0

    def spend(self, boards: float) -> None:
        self.boards += boards
