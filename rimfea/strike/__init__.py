"""What a strike does: the tyre, the energy of the blow, the ladder of events, the casing."""
