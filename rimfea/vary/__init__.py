"""The same rim a little different: around a datum, along an axis, under drawn errors, dragged."""
