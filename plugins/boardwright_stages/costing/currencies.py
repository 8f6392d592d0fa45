"""Several currencies, one total: each foreign price at a stated rate.

What this does not know: today's rates, what a bank takes, which way a rate will go.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

import msgspec
from msgspec import Meta

from boardwright import Section


class CurrencySettings(Section, frozen=True, kw_only=True, table="currencies"):
    """Rates for prices that are not in the currency of ``[costing]``."""

    rates: Annotated[
        dict[str, Decimal],
        Meta(
            description="What one of another currency is worth in that of [costing]: USD = 0.92. Write the "
            "day beside it: rates change."
        ),
    ] = msgspec.field(default_factory=dict)

    def __post_init__(self) -> None:
        for code, rate in self.rates.items():
            if not rate.is_finite() or rate <= 0:
                raise ValueError(f"the rate of {code} is {rate}; it must be a number above 0")


ONE_CURRENCY = CurrencySettings()
