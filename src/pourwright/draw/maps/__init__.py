"""The piece in the colours of a quantity: density of a shot's foam, thickness of a lining, heat by the clock."""
