"""Below so many records nothing is compared or advised (common practice, no source)."""

LEAST_DAYS_UNEATEN = 84
LEAST_DAYS_EATEN = 28
LEAST_EATING_ROWS = 20
LEAST_SESSIONS = 6
LEAST_LOTS = 6
LEAST_BAD_DAYS = 3
LEAST_YEARS = 3
TOO_LITTLE = "Too little to tell"
