"""Pages that are wrong: what was done, how, the finding, what that must name."""

from __future__ import annotations

from corruptions import Corruption
from forging import replaced, without

LABEL = ("labels.html", b'<li data-part="B04-J1"><b>B04-J1')
LABELLED_B06 = ("labels.html", b'<i class="board">B06</i>', b'<i class="board">B05</i>')
STEP = ("index.html", b'<b data-part="B04-J1">')

PAGES = [
    Corruption("a part has no label", replaced(*LABEL, b'<li data-part="B04-X1"><b>B04-X1'), "094", "B04-J1"),
    Corruption(
        "a label has another's size",
        replaced("labels.html", b" \xc3\x97 90 ", b" \xc3\x97 91 "),
        "094",
        " 90 ",
    ),
    Corruption("a label has another board", replaced(*LABELLED_B06), "094", "does not say board B06"),
    Corruption(
        "the number of pieces is wrong",
        replaced("labels.html", b"pieces: 1", b"pieces: 2"),
        "094",
        "there are 1 of it",
    ),
    Corruption("the labels are lost", without("labels.html"), "094", "labels.html"),
    Corruption("a step names another part", replaced(*STEP, b'<b data-part="B04-J2">'), "095", "B04-J1"),
    Corruption("the book is lost", without("index.html"), "095", "index.html"),
]
