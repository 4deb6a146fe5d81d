"""The skin of a piece in the colours of a quantity: density of a shot's foam, thickness of a lining."""
