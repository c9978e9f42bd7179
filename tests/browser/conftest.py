from lab import browser, open_notebook, playground, server  # noqa: F401
