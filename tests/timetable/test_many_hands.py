"""More pairs of hands than the alphabet has letters: nobody is at two things at once, on paper either."""

from tests.timetable.kitchens import DAY, home, juice, on

from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock


def test_every_pair_of_hands_has_letters_of_its_own():
    """24 hours of hands beside half an hour of stove, people left blank: 48 people are read."""
    preserves = [juice(hands_minutes_each=40.0, stove_minutes_load=0.0)]
    household = home(*preserves, hands=24.0, stove=0.5, kitchen={"people": None, "burners": 1.0})
    clock = on_the_clock(household, [on("juice", 7.0)])
    assert clock[0].kitchen.persons == 48
    at_work = max((step.persons for step in clock[0].steps), key=len)
    assert len(at_work) > 26
    assert len(set(at_work)) == len(at_work)
    assert broken_promises(household, [on("juice", 7.0, DAY)], clock) == ()
