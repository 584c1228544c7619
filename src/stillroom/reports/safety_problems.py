"""The sentences of what the published tables refuse or warn of, by kind: what is wrong, what to do."""

TEXTS: dict[str, tuple[str, str]] = {}
