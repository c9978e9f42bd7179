from lab import browser, open_notebook, server  # noqa: F401
