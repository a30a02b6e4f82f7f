"""From an outline to six-node triangles on its true arcs."""
