"""What a strike does: the tyre, drop and roll against a step, the ladder of events, the casing."""
