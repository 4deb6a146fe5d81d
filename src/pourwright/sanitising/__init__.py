"""The guard at the door: what a shell file claims is checked, and rewritten plainly, before any reader sees it.

Readers trust headers, follow references and unpack archives. So each format is looked at first: counts against the
bytes that are there, references against the file's own folder, archives against their unpacked size, and all of it
against what a file of that size may ask for (`budget`). What the reader then gets holds points and triangles only.
"""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.sanitising.budget import MEMORY_BYTES, MEMORY_BYTES_PER_TRIANGLE, Budget
    from pourwright.sanitising.expect import Expect, Sanitised, cut_short
    from pourwright.sanitising.formats import SANITISERS
else:
    __getattr__ = offered(__name__)

__all__ = [
    "MEMORY_BYTES",
    "MEMORY_BYTES_PER_TRIANGLE",
    "SANITISERS",
    "Budget",
    "Expect",
    "Sanitised",
    "cut_short",
]
