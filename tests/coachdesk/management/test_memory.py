"""What a started desk leaves out of its searches for garbage."""

import gc

from coachdesk.management.memory import YOUNG, settle


def test_what_is_loaded_at_the_start_is_not_searched_again():
    gc.unfreeze()
    gc.set_threshold(700, 10, 10)  # as Python begins; what `settle` leaves is how all tests run
    settle()
    assert gc.get_freeze_count() > 10_000
    assert gc.get_threshold()[0] == YOUNG
    assert gc.isenabled()  # rows that point at each other still have to go some time
