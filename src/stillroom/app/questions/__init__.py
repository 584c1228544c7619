"""Use cases that ask a plan something and plan again to answer it; most write nothing."""
