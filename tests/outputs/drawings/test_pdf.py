"""What is compressed in a PDF, as letters: what the library itself would write."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st
from reportlab.lib.rl_accel import asciiBase85Encode

from boardwright_outputs.drawings.pdf import Printable


@given(st.binary(max_size=60))
@example(b"")
@example(bytes(4))
@example(bytes(7))
@example(b"\xff" * 9)
def test_as_the_library_writes_it(data: bytes) -> None:
    assert Printable().encode(data) == asciiBase85Encode(data)
