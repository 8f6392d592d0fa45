"""The kit for authors of plugins.

``call``            call one stage with plain values, as the engine does
``StageContract``   inherit it, and pytest proves that your stage keeps the contract
``Bench``           run several stages through the real engine, change something, and see what ran again

A pytest fixture ``bench`` comes with ``pytest_plugins = ["boardwright.testing.fixtures"]``.
"""

from .bench import Bench
from .contract import StageContract, call

__all__ = ["Bench", "StageContract", "call"]
