"""The page with sliders: pure answers to requests, and a server on the loopback address."""
