"""The page of a study: picture, table, steps in words. Self-contained, no script, nothing loaded."""

from __future__ import annotations

from html import escape
from importlib.resources import files

from boardwright.many.choosing import shown
from boardwright.many.model import Construction, Study

from ..workbook.inert import visible
from .picture import picture
from .study_book import verdict

_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def page(study: Study) -> bytes:
    """UTF-8, the same bytes for the same study."""
    title = _text(study.name or "Unnamed layout")
    drawn = picture(study)
    best = sum(c.best for c in study.constructions)
    text = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Study of {title}</title><style>{_style()}</style></head><body>\n"
        f"<h1>Study of {title}</h1>\n"
        f"<p>{len(study.constructions) - 1} constructions and, as number 0, the project as it stands. "
        f"{best} of them are best: no other is as good in every figure that counts and better in one. "
        "Filled marks are best, hollow ones are beaten, crosses have faults and must not be built. "
        "Sag figures are an aid to judgement, not a structural design.</p>\n"
        f"{drawn}\n<h2>What each step costs and buys</h2>\n{_steps(study)}\n"
        f'<h2>Constructions</h2>\n<div class="wide">{_table(study)}</div>\n{_troubles(study)}</body></html>\n'
    )
    return text.encode("utf-8", "replace")


def _steps(study: Study) -> str:
    if not study.steps:
        return "<p>Nothing has more than one value.</p>"
    said = (f"<li>{_text(step.says)} ({step.pairs} pairs alike in all else)</li>" for step in study.steps)
    return f"<ul>{''.join(said)}</ul>"


def _table(study: Study) -> str:
    keys = [k for v in study.varied for k in v.keys]
    figures = next((c.figures for c in study.constructions if c.figures), ())
    heads = ("No.", *keys, *(f.says for f in figures), "Faults", "Cautions", "Verdict")
    head = "".join(f"<th>{_text(h)}</th>" for h in heads)
    rows = []
    for c in study.constructions:
        settings = dict(c.settings)
        cells = [
            str(c.number),
            *(shown(settings[k]) if k in settings else "" for k in keys),
            *(found.shown if (found := c.figure(f.key)) else "–" for f in figures),
            str(c.faults),
            str(c.cautions),
            verdict(c),
        ]
        kind = ' class="best"' if c.best else ""
        rows.append(f"<tr{kind}>{''.join(f'<td>{_text(cell)}</td>' for cell in cells)}</tr>")
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"


def _troubles(study: Study) -> str:
    bad = [c for c in study.constructions if not c.sound]
    if not bad:
        return ""
    return f"<h2>Faults</h2>\n<ul>{''.join(map(_trouble, bad))}</ul>\n"


def _trouble(c: Construction) -> str:
    said = dict.fromkeys(f["says"] for f in c.findings if f["severity"] == "fault") or {c.refused: None}
    return f"<li>No. {c.number}: {_text('; '.join(said))}</li>"


def _style() -> str:
    return files(__package__).joinpath("study.css").read_text("utf-8")


def _text(text: str) -> str:
    return escape(visible(text))
