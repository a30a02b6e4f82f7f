"""What a rim section is: its walls, the caliper sheet, and the outline drawn from it."""
