"""An independent check of a saved file against the file it came from."""
