"""Pages that are templates filled in: found in one place, and kept as compiled in the user's own cache."""

from __future__ import annotations

import contextlib
import hashlib
from typing import Any

import jinja2
from jinja2.bccache import Bucket

from pourwright import kept


class _Compiled(jinja2.FileSystemBytecodeCache):
    """What cannot be read or written is compiled anew."""

    def load_bytecode(self, bucket: Bucket) -> None:
        with contextlib.suppress(OSError):
            super().load_bytecode(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        with contextlib.suppress(OSError):
            super().dump_bytecode(bucket)


def page_maker(**options: Any) -> jinja2.Environment:
    """The project's templates: every value escaped, a value that is not given an error.

    Parameters
    ----------
    options
        Others of `jinja2.Environment`. What is compiled with them is kept for them alone.
    """
    loader = jinja2.PackageLoader("pourwright.report", "templates")
    return jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, bytecode_cache=_compiled(options), **options
    )


def _compiled(options: dict[str, Any]) -> _Compiled | None:
    own = kept.folder()
    if own is None:
        return None
    with contextlib.suppress(OSError):
        folder = own / "pages"
        folder.mkdir(mode=0o700, exist_ok=True)
        told = [f"{name} {getattr(value, '__qualname__', value)}" for name, value in sorted(options.items())]
        which = hashlib.sha256(f"{jinja2.__version__} {told}".encode()).hexdigest()[:16]
        return _Compiled(str(folder), f"{which}-%s")
    return None
