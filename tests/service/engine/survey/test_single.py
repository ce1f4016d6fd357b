import pytest

from service.engine.survey.limits import LONGEST_LABEL
from service.engine.survey.single import label_faults, one_by_one
from tests.builders import displaced, stud_wall, wall


def test_identical_cavities_are_held_one_by_one_and_all_else_stays_theirs():
    three = wall(count=3, displaced=displaced(0.1))
    singles = one_by_one(cavities=(three, stud_wall()))
    assert [(each.label, each.count) for each in singles] == [
        *(("W1.1", 1), ("W1.2", 1), ("W1.3", 1)),
        ("W2", 1),
    ]
    assert all(each.displaced == three.displaced for each in singles[:3])


@pytest.mark.parametrize(
    ("cavities", "pointers"),
    [
        ((wall(count=2), stud_wall(label="W1.3")), []),
        ((wall(count=2), stud_wall(label="W1.2")), ["/cavities/1/label"]),
        ((stud_wall(label="W1.2"), wall(count=2)), ["/cavities/1/label"]),
        ((wall(), stud_wall(label="W1")), ["/cavities/1/label"]),
        ((wall(label="W" * (LONGEST_LABEL - 1), count=2),), ["/cavities/0/label"]),
        ((wall(label="W" * LONGEST_LABEL),), []),
    ],
)
def test_labels_that_would_clash_are_refused(cavities, pointers):
    assert [fault.pointer for fault in label_faults(cavities=cavities)] == pointers
