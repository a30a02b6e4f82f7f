"""What a notebook asks with `import rimfea`: every question, with rims and set-ups by name."""
