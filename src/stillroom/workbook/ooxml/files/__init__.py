"""The one way to put a file: locked, durable, with the copies it leaves and the ids it carries."""
