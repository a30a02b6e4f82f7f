"""Names for the walls of a traced outline, found from where each face lies and looks.

A scanned or drawn section comes as plain rings. Everything the solver needs to know about them
is which face belongs to which wall: the rules are those by which a builder points at a wall.
"""
