"""Plane geometry: closed rings of lines and arcs with named edges; no rims, no elements."""
