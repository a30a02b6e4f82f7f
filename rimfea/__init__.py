"""From the caliper numbers of a bicycle rim to mechanics: which wall gives first, and why."""
