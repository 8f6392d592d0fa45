"""``python -m boardwright``."""

from .cli import command

command()
