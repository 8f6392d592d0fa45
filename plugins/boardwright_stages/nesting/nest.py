"""`boardwright nest`: the cutting stage on a bare list of rectangles."""

from __future__ import annotations

from msgspec.structs import replace

from boardwright import Finding, Notes, Place
from boardwright.plan.source import SourceFile
from boardwright_timber.model import BoardParts, Nested, Part, Placement

from .piece_list import Row, read_pieces
from .stages import cutting
from .stock_file import read_stock

LIST = "list"


def nest(pieces: SourceFile, stock: SourceFile, notes: Notes) -> Nested:
    """All pieces cut from the stock. Raises InputError when a file cannot be used."""
    rows = read_pieces(pieces, notes)
    settings, saw = read_stock(stock)
    ids = {r.id for r in rows}
    made = [(part, row.id) for row in rows for part in _parts(row, ids)]
    for sheet in settings.sheets:
        if sheet.price is None:
            notes.caution(
                "BW-NEST-012",
                f"{sheet.name} has no price: the plan counts sheets by their area, and the sum leaves it out",
                Place(file=stock.name, item=sheet.name),
                "Add its price to the stock file; 0 for what is already there.",
            )
    parts = tuple(part for part, _ in made)
    said = Notes()
    plan = cutting({LIST: BoardParts(board=LIST, parts=parts)}, settings, saw, said)
    own = [f for f in said.findings if f.code != "BW-CUT-015"]  # a stock file stands in place of nothing
    notes.findings += [_of_a_stock_file(finding) for finding in own]
    return Nested(
        name=pieces.name,
        parts=parts,
        rows=tuple((part.id, row) for part, row in made),
        plan=plan,
        prices=tuple((s.name, s.price) for s in settings.sheets),
        kerf_mm=saw.kerf_mm,
        trim_mm=saw.trim_mm,
        stages=saw.stages,
        findings=tuple(notes.findings),
    )


# What the keys of a project file are called in a stock file.
KEYS = (
    ("stock.sheets", "[[sheet]]"),
    ("[stock]", "the stock file"),
    ("cutting.kerf_mm", "kerf_mm under [saw]"),
    ("cutting.", "[saw] "),
    ("Split the board, make the part smaller", "Make the piece smaller"),
)


def _of_a_stock_file(finding: Finding) -> Finding:
    """The finding with the keys of a stock file in place of the project file's."""
    words = {name: getattr(finding, name) for name in ("says", "mend")}
    for name, text in words.items():
        for ours, theirs in KEYS:
            text = text.replace(ours, theirs)
        words[name] = text
    where = tuple(replace(p, board=None, key=p.key and _key(p.key)) for p in finding.where)
    return replace(finding, where=where, **words)


def _key(key: str) -> str:
    return next((theirs for ours, theirs in KEYS if key == ours), key)


def _parts(row: Row, ids: set[str]) -> list[Part]:
    length, width = row.length_mm, row.width_mm
    digits = len(str(row.quantity))
    mark = "-"
    while row.quantity > 1 and any(
        f"{row.id}{mark}{n:0{digits}d}" in ids for n in range(1, row.quantity + 1)
    ):
        mark += "-"
    return [
        Part(
            id=row.id if row.quantity == 1 else f"{row.id}{mark}{n:0{digits}d}",
            board=LIST,
            role="piece",
            label=row.id,
            material=row.material,
            thickness_mm=row.thickness_mm,
            length_mm=length,
            width_mm=width,
            grain=row.grain,
            ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
            area_mm2=length * width,
            mass_kg=0.0,
            placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
        )
        for n in range(1, row.quantity + 1)
    ]
