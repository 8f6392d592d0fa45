"""Do plugins and the core fit each other? Asked before a plugin's code is loaded.

Two sides may set a condition: the project file (``plugins = ["house >= 1.2"]``), for projects that need
what a newer release of the club's rules does; and the plugin's distribution, whose requirement of
``boardwright`` says which releases of the core it was written for. Installers look at the second only on the
day they install. Conditions are version specifiers of the Python packaging standard.
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib.metadata import EntryPoint, version

from .door import OWN, distribution, split
from .findings import Finding, Place, Severity


def misfits(points: Iterable[EntryPoint], named: Iterable[str]) -> list[Finding]:
    """A fault for every condition that is not met."""
    wanted = dict(map(split, named))
    faults: list[Finding] = []
    for point in points:
        name, installed = distribution(point)
        if name == OWN:
            continue
        if (condition := wanted.get(point.name, "")) and not _meets(installed, condition, faults, point.name):
            faults.append(
                _fault(
                    f"the project asks for {point.name} {condition}, and {name} {installed} is installed",
                    "[stages] plugins",
                    f"Install a release of {name} that fits, or change the condition.",
                )
            )
        for condition in _of_core(point):
            if not _meets(version(OWN), condition, faults, point.name):
                faults.append(
                    _fault(
                        f"{name} {installed} was written for Boardwright {condition}; this is {version(OWN)}",
                        "[stages] plugins",
                        f"Install a release of {name} that fits this one, or the Boardwright it asks for.",
                    )
                )
    return faults


def _of_core(point: EntryPoint) -> list[str]:
    """The conditions a plugin's distribution sets on the core."""
    lines = point.dist.requires if point.dist else None
    if not any(line.startswith(OWN) for line in lines or ()):
        return []
    from packaging.requirements import Requirement

    found = [Requirement(line) for line in lines or ()]
    return [
        str(r.specifier)
        for r in found
        if r.name == OWN and str(r.specifier) and (r.marker is None or r.marker.evaluate({"extra": ""}))
    ]


def _meets(installed: str, condition: str, faults: list[Finding], plugin: str) -> bool:
    from packaging.specifiers import InvalidSpecifier, SpecifierSet

    try:
        return SpecifierSet(condition).contains(installed, prereleases=True)
    except InvalidSpecifier:
        faults.append(
            _fault(
                f"{condition!r} after plugin {plugin!r} is no condition on a version",
                "[stages] plugins",
                'Write it as in "house >= 1.2" or "house >= 1.2, < 2".',
            )
        )
        return True


def _fault(says: str, key: str, mend: str) -> Finding:
    return Finding(code="BW-PLUG-017", severity=Severity.FAULT, says=says, where=(Place(key=key),), mend=mend)
