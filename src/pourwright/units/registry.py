"""The one pint registry."""

from __future__ import annotations

import pint

ureg: pint.UnitRegistry[float] = pint.UnitRegistry()
pint.set_application_registry(ureg)  # type: ignore[no-untyped-call]
