"""Pages for paper, as PDF and HTML."""
