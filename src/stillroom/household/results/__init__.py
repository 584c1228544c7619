"""The rows of every output table, worked out of a finished plan."""
