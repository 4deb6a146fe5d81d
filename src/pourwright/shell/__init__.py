"""Which surface is the skin, whether it can be trusted, how thick it is, what it is made of, where it is open."""

from pourwright.shell.skin import Finding, Opening, Skin, SkinKind, SkinMaterial, WallBand

__all__ = ["Finding", "Opening", "Skin", "SkinKind", "SkinMaterial", "WallBand"]
