"""What a section is worth as a bar: area, second moments, torsion; mass and inertia as a hoop."""
