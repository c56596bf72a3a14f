"""narrate2log: from the spoken narration of a sewer lateral inspection to a table of observations."""

__version__ = "0.1.0"
