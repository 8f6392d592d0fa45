"""Labels of the modules of a series: one for each copy, with its number, to stick on when it is built."""

from __future__ import annotations

from importlib.resources import files

from boardwright_timber.model.together import SeriesResult, Together

from ..workbook.inert import visible


def labels(together: Together) -> bytes:
    """``labels.html``: nothing on it is loaded from anywhere."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.from_string(
        files(__package__).joinpath("series-labels.html.j2").read_text("utf-8")
    )
    series = together.series
    assert series is not None
    text = template.render(
        series=series,
        boards={p.mark: [b for b in together.parts if b.startswith(f"{p.mark}-")] for p in together.projects},
        ends={p.label: _ends(series, p.label) for p in together.projects},
    )
    return visible(text).encode("utf-8", "replace")


def _ends(series: SeriesResult, module: str) -> list[str]:
    """Names of a module's ends, without the module."""
    named = {name for met in series.ends for name in (met.one, met.other)}
    return sorted(n.rpartition("/")[2] for n in named if n.rpartition("/")[0] == module)
