"""Pictures of the answers: hanging, slings, standing, floating, turning, stiffness."""
