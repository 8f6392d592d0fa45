"""How much has been tried, counted in boards thought to come out of each try: never in seconds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass
class Effort:
    boards: float = 0.0

    def spend(self, boards: float) -> None:
        self.boards += boards
