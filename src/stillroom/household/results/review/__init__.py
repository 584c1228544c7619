"""What a season taught: targets, crops and varieties, preserves, equipment, years and weeks, by the record alone."""

from stillroom.household.results.review.crops import CropReview, WeekReview, WorkReview, YearReview
from stillroom.household.results.review.rows import Review, finished_in, finished_unit, review, review_tables
from stillroom.household.results.review.targets import TargetReview

__all__ = [
    "CropReview",
    "Review",
    "TargetReview",
    "WeekReview",
    "WorkReview",
    "YearReview",
    "finished_in",
    "finished_unit",
    "review",
    "review_tables",
]
