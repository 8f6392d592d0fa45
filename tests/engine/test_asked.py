"""Settings are handed to stages through a stand-in that writes down what is read."""

from __future__ import annotations

import msgspec
import pytest

from boardwright import Section
from boardwright.engine.asked import Asked


class Widths(Section, table="widths"):
    a_mm: float = 1.0
    b_mm: float = 2.0
    c_mm: float = 3.0

    @property
    def sum_mm(self) -> float:
        return self.a_mm + self.b_mm

    def times(self, n: float) -> float:
        return self.c_mm * n


def test_reads_are_written_down() -> None:
    record: dict[str, str] = {}
    asked = Asked(Widths(), record)
    assert isinstance(asked, Widths)
    assert asked.a_mm == 1.0
    assert record == {"widths.a_mm": "1.0"}


def test_reads_inside_properties_and_methods_count() -> None:
    record: dict[str, str] = {}
    asked = Asked(Widths(), record)
    assert asked.sum_mm == 3.0
    assert asked.times(2) == 6.0
    assert sorted(record) == ["widths.a_mm", "widths.b_mm", "widths.c_mm"]


def test_reading_it_whole_fails_loudly() -> None:
    asked = Asked(Widths(), {})
    with pytest.raises(TypeError):
        msgspec.structs.asdict(asked)  # type: ignore[arg-type]  # the point of the test
    with pytest.raises(TypeError):
        msgspec.json.encode(asked)


def test_stages_cannot_change_settings() -> None:
    with pytest.raises(AttributeError):
        Asked(Widths(), {}).a_mm = 5


def test_a_stage_may_work_with_other_settings_than_it_was_handed() -> None:
    """The copy is a section of its own; the fields it keeps are written down as read, the new one is not."""
    record: dict[str, str] = {}
    copy = Asked(Widths(), record).changed(b_mm=7.0)
    assert copy == Widths(b_mm=7.0)
    assert msgspec.json.encode(copy)
    assert sorted(record) == ["widths.a_mm", "widths.c_mm"]
