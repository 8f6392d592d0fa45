"""Write docs/pictures/*.svg, the pictures of README and guide, from the demonstration pack.

    python docs/make_pictures.py [PACK]

PACK is a pack of fixtures/branch-terminus; without it one is made in a folder that is thrown away. The
pictures are those of the pack's own page, each made to stand alone: on white, with its styles in it. A test
compares them with the page of the pack it has made anyway, so nothing is rendered to check them.
"""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from boardwright.cli import main
from boardwright_outputs.drawings.svg import style

HERE = Path(__file__).parent
FOLDER = HERE / "pictures"
#: Picture of the page -> file.
CHOSEN = {
    "pic-plan": "plan.svg",
    "pic-board-B05": "board.svg",
    "pic-board-B05-5": "board-apart.svg",
    "pic-sheet-birch-ply-12-01": "sheet.svg",
}
_DARK = re.compile(r"@media[^{]*\{:root\{[^}]*\}\}")


def pictures(page: str) -> dict[str, str]:
    """File name -> picture, from the text of a pack's ``index.html``."""
    found = {}
    for id_, name in CHOSEN.items():
        start = page.index(f'id="{id_}"')
        start, end = page.rindex("<svg", 0, start), page.index("</svg>", start) + len("</svg>")
        head, rest = page[start:end].split(">", 1)
        own = f'<style>{_DARK.sub("", style())}</style><rect width="100%" height="100%" fill="#fff"/>'
        found[name] = f"{head}>{own}{rest}\n"
    return found


def write(pack: Path) -> None:
    FOLDER.mkdir(exist_ok=True)
    for name, picture in pictures((pack / "index.html").read_text("utf-8")).items():
        (FOLDER / name).write_text(picture, "utf-8", newline="\n")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        write(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as folder:
            main(["pack", str(HERE.parent / "fixtures" / "branch-terminus"), "-o", f"{folder}/pack"])
            write(Path(folder) / "pack")
