"""What a reader of meshes is given where it would look for more files."""

from __future__ import annotations

from typing import Any

from trimesh.resolvers import Resolver


class Nothing(Resolver):
    """Serves no file to trimesh: the guard has put everything needed into the bytes."""

    def __init__(self) -> None:
        pass

    def get(self, key: str) -> bytes:
        """Raise FileNotFoundError."""
        raise FileNotFoundError(key)

    def write(self, name: str, data: Any) -> None:
        """Raise FileNotFoundError."""
        raise FileNotFoundError(name)

    def namespaced(self, namespace: str) -> Nothing:
        """The same for a folder below."""
        return self

    def keys(self) -> list[str]:
        """No names of files."""
        return []
