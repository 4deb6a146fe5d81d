"""The piece afloat: hydrostatics, states afloat and flooded, flotation."""
