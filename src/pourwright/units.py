"""The one pint registry, and how lengths, weights and the rest are shown in both systems."""

from __future__ import annotations

import pint

ureg: pint.UnitRegistry[float] = pint.UnitRegistry()
pint.set_application_registry(ureg)  # type: ignore[no-untyped-call]
