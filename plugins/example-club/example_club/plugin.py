"""What our club supplies. The entry point ``example-club`` names this module."""

from boardwright import hookimpl

from .crates import crates
from .joists import club_joists
from .ladder import ladder
from .packing_list import packing_list


@hookimpl
def boardwright_stages():
    return [club_joists, crates]


@hookimpl
def boardwright_styles():
    return [ladder]


@hookimpl
def boardwright_outputs():
    return [packing_list]
