"""Optics of the low Sun: computed pictures for teaching and outreach."""

__version__ = "0.1.0"
