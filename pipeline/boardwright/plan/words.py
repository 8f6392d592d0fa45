"""Words by which the layers of a drawing tell what they hold, in the languages plans are drawn in.

A long word counts wherever it stands in a layer's name; a short one only as a word of its own. Roles are
asked in the order they stand here: "board joints" are joints, "point motors" are devices. Common practice, no
source.

What this does not know: which language a plan is in, and what the drawing shows.
"""

from __future__ import annotations

import re
import unicodedata

WORDS: dict[str, tuple[str, ...]] = {
    "joints": (
        *(
            "joint",
            "split",
            "seam",
            "stoss",
            "trennung",
            "trennstell",
            "trennfuge",
            "teilung",
            "fuge",
            "jonction",
            "coupe",
            "naad",
        ),
        *("deling", "junta", "giunt", "skarv", "samling", "jt", "jnt"),
    ),
    "lift_outs": (
        *("liftout", "lift", "gate", "flap", "drawbridge", "klappe", "herausnehm", "relevable", "uitneem"),
        *("levadizo", "removable", "trappe", "portillon", "amovible"),
    ),
    "obstacles": (
        *("obstacle", "pillar", "column", "keepout", "socket", "hindernis", "pfeiler", "saule", "sperr"),
        *("poteau", "pilier", "obstakel", "pilaar", "obstaculo", "pilar", "ostacol", "pilastr", "hinder"),
        *("obst", "obs"),
    ),
    "devices": (
        *(
            "device",
            "motor",
            "machine",
            "servo",
            "electronic",
            "elektronik",
            "antrieb",
            "unterflur",
            "gerat",
            "geraet",
        ),
        *("moteur", "appareil", "electroni", "aandrijving", "apparat", "accionamiento", "solenoid", "equip"),
        *("dev", "elec", "elek", "mot"),
    ),
    "turnouts": (
        *(
            "turnout",
            "switch",
            "point",
            "weiche",
            "aiguill",
            "wissel",
            "desvio",
            "cambio",
            "scambi",
            "vaxel",
            "vaxlar",
        ),
        *("sporskift", "tout", "sw", "pts"),
    ),
    "tracks": (
        *(
            "track",
            "rail",
            "centreline",
            "centerline",
            "gleis",
            "voie",
            "spoor",
            "sporen",
            "binari",
            "mittellinie",
        ),
        *("trilho", "carril", "sporplan", "spar", "spor", "via", "vias", "trk", "cl", "gl", "tk", "rr"),
    ),
    "outline": (
        *("outline", "edge", "board", "benchwork", "perimeter", "boundary", "kante", "umriss", "aussenrand"),
        *("kontur", "anlagenrand", "platte", "contour", "plateau", "plancher", "omtrek", "tafel", "contorno"),
        *("borde", "tablero", "bordo", "perimetr", "bordskant", "rand", "bord", "kant", "bb", "bdry", "edg"),
    ),
}
ASIDE: tuple[str, ...] = (
    *(
        "border",
        "frame",
        "title",
        "text",
        "dimension",
        "hatch",
        "grid",
        "wall",
        "room",
        "scenery",
        "building",
    ),
    *(
        "rahmen",
        "schrift",
        "bemassung",
        "raster",
        "wand",
        "zimmer",
        "raum",
        "gelande",
        "cadre",
        "texte",
        "mur",
    ),
    *("piece", "kader", "muur", "cuadro", "texto", "pared", "muro", "testo", "ram", "vagg", "dim", "txt"),
    *("backscene", "backdrop", "kulisse", "hintergrund", "furniture", "mobel", "meuble", "arredo"),
    *("defpoints", "viewport", "note", "bemerkung", "house", "haus", "road", "tree"),
)
"""Words of layers that hold no part of the plan."""
UNLESS: dict[str, tuple[str, ...]] = {
    "lift_outs": ("crossing", "barrier", "overweg", "ubergang", "motor", "servo"),
}
"""Words beside which a role's own mean something else: the gates of a level crossing, what works a flap."""
LONG = 5
"""Letters from which on a word counts inside another."""


def plain(name: str) -> str:
    """Small letters without accents; words apart by one space, also where capitals or figures begin."""
    apart = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name.replace("ß", "ss"))
    bare = "".join(c for c in unicodedata.normalize("NFKD", apart) if not unicodedata.combining(c))
    return re.sub(r"[^a-z]+", " ", bare.casefold().replace("ø", "o").replace("å", "a")).strip()


def says(name: str, words: tuple[str, ...]) -> bool:
    """Whether a layer's name holds one of the words."""
    own = plain(name).split()
    joined = "".join(own)
    return any(w in own or w + "s" in own or (len(w) >= LONG and w in joined) for w in words)


def role_of(name: str) -> str | None:
    """The role a layer's name tells, "" for one that is no part of the plan, None when it tells nothing."""
    for role, words in WORDS.items():
        if says(name, words) and not says(name, UNLESS.get(role, ())):
            return role
    return "" if says(name, ASIDE) else None
