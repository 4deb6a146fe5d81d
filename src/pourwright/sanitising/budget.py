"""How much a shell file may ask for: triangles, bodies, text and memory, checked against its size before it is read.

Formats name one point many times, place one mesh many times, or pack text a thousand to one, so a small file can ask
for any amount of memory and time. A file gets as many triangles as its bytes could hold if each were written out, and
all that reading and tidying takes has to fit into the memory that is allowed.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.errors import ShellError
from pourwright.figures import apart

MEMORY_BYTES = 1_500_000_000
"""Memory a shell or a grid may use where nobody says otherwise; our judgement: half of a small machine."""
TRIANGLE_LIMIT = 20_000_000
SMALL_TRIANGLES = 600_000
"""Triangles any file may hold, however small it is."""
FILE_BYTES_PER_TRIANGLE = 8
"""Bytes of file that a triangle beyond `SMALL_TRIANGLES` takes at least. The tightest formats need 12 and more
(measured: packed 3MF 17, GLB and PLY 19, binary STL 50)."""
MEMORY_BYTES_PER_TRIANGLE = 800
"""Peak of reading, tidying and surveying a closed mesh, beside the program's own 400 MB (measured: 560 to 750)."""
MEMORY_BYTES_PER_TEXT_BYTE = {"stl": 3, "obj": 10, "ply": 5, "off": 10, "any obj": 10}
"""Peak of reading a text, per byte of it (measured on a ball of 327,680 triangles: 2.2, 9.0, 3.9, 7.7 and 5.9)."""
BODY_LIMIT = 2_000
"""Meshes that a file may place. Each costs a turn through the scene."""
POINTS_PER_TRIANGLE = 3


@dataclass(frozen=True, slots=True)
class Budget:
    """What one file may ask for: its own size (buffers beside it included) and the memory allowed."""

    size_bytes: int
    memory_bytes: int = MEMORY_BYTES

    @property
    def triangles(self) -> int:
        """Most triangles a file of this size may hold."""
        return min(TRIANGLE_LIMIT, max(SMALL_TRIANGLES, self.size_bytes // FILE_BYTES_PER_TRIANGLE))

    def check(self, name: str, triangles: int, points: int = 0, bodies: int = 1) -> None:
        """Refuse what is more than the file's size or the memory allow.

        Raises
        ------
        ShellError
            In one sentence, with the number, the limit, and what to do.
        """
        if bodies > BODY_LIMIT:
            raise ShellError(
                f"{name} places {bodies:,} bodies; at most {BODY_LIMIT:,} are read: join them into one mesh."
            )
        if triangles > self.triangles:
            of_size = f" from {self.size_bytes / 1e6:,.1f} MB" if self.triangles < TRIANGLE_LIMIT else ""
            raise ShellError(
                f"{name} asks for {triangles:,} triangles; at most {self.triangles:,} are read{of_size}: "
                "thin it out and export it again, as a binary STL."
            )
        if points > POINTS_PER_TRIANGLE * self.triangles:
            raise ShellError(
                f"{name} asks for {points:,} points; at most {POINTS_PER_TRIANGLE * self.triangles:,} are read: "
                "thin it out and export it again, as a binary STL."
            )
        self._fits(name, f"{triangles:,} triangles", self.size_bytes + MEMORY_BYTES_PER_TRIANGLE * triangles)

    def check_size(self, name: str) -> None:
        """Refuse a file that does not fit into the memory as it is."""
        self._fits(name, f"{self.size_bytes / 1e9:,.1f} GB", self.size_bytes)

    def check_text(self, name: str, kind: str, size: int) -> None:
        """Refuse a text that takes more memory to read than is allowed."""
        need = MEMORY_BYTES_PER_TEXT_BYTE[kind] * size
        self._fits(name, f"{size / 1e6:,.0f} MB of text", need, "save it in a binary format (binary STL or PLY)")

    def _fits(self, name: str, what: str, need: int, instead: str = "thin it out") -> None:
        if need > self.memory_bytes:
            takes, most = apart(need, self.memory_bytes, lambda size, more: f"{size / 1e9:,.{1 + more}f} GB")
            raise ShellError(
                f"{name} holds {what}, which take about {takes} of memory to read and tidy; {most} may be used: "
                f"{instead}, or allow more (grid.memory in the job file, --memory with check)."
            )
