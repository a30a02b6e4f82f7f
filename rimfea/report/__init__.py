"""The report: what stands in it, as a page and on paper."""
