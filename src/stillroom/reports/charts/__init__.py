"""Pictures of a plan and of a season: the sheets, what is drawn on them, and their files."""
