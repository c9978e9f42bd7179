"""Results on a matplotlib Figure: no pyplot, no formula, no widget."""
