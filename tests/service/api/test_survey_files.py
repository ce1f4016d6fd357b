"""Faults of a body that came as a file are said at the cells that it came from."""

from service.api.sheets.rows import Read
from service.api.survey_files import located
from service.errors import Fault, InvalidInput


def test_a_fault_is_at_its_cell_or_at_that_of_what_it_lies_in() -> None:
    survey = Read(cells={"/cavities/0": "/Survey/A2", "/cavities/0/width_m": "/Survey/C2", "": "/Quote"})
    pointers = ("/cavities/0/width_m", "/cavities/0/layers/1/depth_mm", "/client", "/cavities/0/width_mm")
    error = InvalidInput(*(Fault(pointer, "Wrong.") for pointer in pointers))
    found = located(error, survey).faults
    assert [fault.pointer for fault in found] == ["/Survey/C2", "/Survey/A2", "/Quote", "/Survey/A2"]
    assert {str(fault.detail) for fault in found} == {"sheets.at_cell"}
