"""A build-up holds what a cavity takes over from it, under the same names."""

from dataclasses import fields

from service.engine.survey.build_up import MEMBERS, BuildUp
from service.engine.survey.cavity import Cavity


def test_what_a_cavity_takes_over_has_the_same_shape_there() -> None:
    built, cavity = ({field.name: field.type for field in fields(kind)} for kind in (BuildUp, Cavity))
    assert [built[name] for name in MEMBERS] == [cavity[name] for name in MEMBERS]
    assert built.keys() - set(MEMBERS) == {"code", "name"}
