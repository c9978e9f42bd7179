"""One file a notebook: controls, compute, picture, words."""
