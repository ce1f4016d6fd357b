"""Layers stand in the place of a build-up's name; faults go back to where the name was posted."""

from service.engine.survey.build_up import BuildUp
from service.engine.survey.cavity import BuildUpLayer, Layer
from service.errors import Fault, InvalidInput
from service.usecases.work.expanded import expanded, where_posted

BUILT = BuildUp(
    code="EW", name="Wall", layers=(Layer(depth_mm=160.0),), inside=(BuildUpLayer(name="Board", sd_m=0.1),)
)


def test_a_named_build_up_gives_its_layers_and_leaves_no_name() -> None:
    own, named = expanded([{"label": "A", "layers": []}, {"label": "B", "build_up": "EW"}], [BUILT])
    assert own == {"label": "A", "layers": []}
    assert named["layers"] == [{"depth_mm": 160.0}]
    assert named["inside"] == [{"name": "Board", "sd_m": 0.1, "ventilated": False}]
    assert (named["outside"], named.keys()) == ([], {"label", "layers", "inside", "outside"})


def test_faults_of_layers_that_nobody_posted_are_at_the_name() -> None:
    posted = [{"build_up": "EW"}, {"layers": []}]
    pointers = ("/cavities/0/layers/0/depth_mm", "/cavities/1/layers/0", "/cavities/0/width_m", "/currency")
    error = InvalidInput(*(Fault(pointer, "wrong") for pointer in pointers))
    found = [fault.pointer for fault in where_posted(error, posted).faults]
    assert found == ["/cavities/0/build_up", "/cavities/1/layers/0", "/cavities/0/width_m", "/currency"]
