"""Building models (IFC4) that tests write themselves, by the API of the library that reads them."""

from pathlib import Path
from typing import Any

import numpy
from ifcopenshell.api import context, feature, geometry, material, project, pset, root, unit

LAYERS = ((15, "Finish"), (360, "Insulation"), (25, None))


class Model:
    """A model in millimetres and square metres, as the library assigns them, or in another unit of length."""

    def __init__(self, **units: Any) -> None:
        self.file = project.create_file(version="IFC4")
        root.create_entity(self.file, ifc_class="IfcProject", name="A project")
        unit.assign_unit(self.file, **units)
        whole = context.add_context(self.file, context_type="Model")
        told = {"context_type": "Model", "context_identifier": "Body", "target_view": "MODEL_VIEW"}
        self.body = context.add_context(self.file, **told, parent=whole)

    def element(self, kind: str, name: str, **said: Any) -> Any:
        """An element without a body."""
        made = root.create_entity(self.file, ifc_class=kind, name=name)
        for member, value in said.items():
            setattr(made, member, value)
        return made

    def box(self, element: Any, length: float, height: float, thick: float, at: Any = (0, 0, 0)) -> Any:
        """Give it a body, in metres: as long along x, as high along z."""
        sizes = {"length": length, "height": height, "thickness": thick}
        shape = geometry.add_wall_representation(self.file, context=self.body, **sizes)
        geometry.assign_representation(self.file, product=element, representation=shape)
        matrix = numpy.eye(4)
        matrix[:3, 3] = at
        geometry.edit_object_placement(self.file, product=element, matrix=matrix)
        return element

    def layers(self, element: Any, layers: Any = LAYERS) -> None:
        """What it is made of: thickness in the model's unit, and category."""
        made = material.add_material_set(self.file, name="A build-up", set_type="IfcMaterialLayerSet")
        for thick, category in layers:
            of = material.add_material(self.file, name=f"Of {thick}")
            layer = material.add_layer(self.file, layer_set=made, material=of)
            said = {"LayerThickness": thick, "Category": category}
            material.edit_layer(self.file, layer=layer, attributes=said)
        material.assign_material(self.file, products=[element], material=made, type="IfcMaterialLayerSet")

    def quantity(self, element: Any, of: str, **quantities: float) -> None:
        """Quantities as an author of models gives them."""
        made = pset.add_qto(self.file, product=element, name=of)
        pset.edit_qto(self.file, qto=made, properties=quantities)

    def opening(self, element: Any, length: float, height: float, at: Any) -> None:
        """A hole right through it."""
        hole = self.box(self.element("IfcOpeningElement", "A window"), length, height, 0.5, at)
        feature.add_feature(self.file, feature=hole, element=element)

    def written(self, path: Path) -> Path:
        """The model as a file."""
        self.file.write(str(path))
        return path


def house(path: Path) -> Path:
    """A house of what can be read and what can not."""
    model = Model()
    north = model.box(model.element("IfcWall", "North"), 5, 3, 0.4)
    model.layers(north)
    model.opening(north, 1.2, 1.5, (1, 0, 1))
    south = model.element("IfcWall", "South")
    model.layers(south, ((200, "Thermal Insulation"), (100, "insulation")))
    model.quantity(south, "Qto_WallBaseQuantities", NetSideArea=21.5)
    twin = model.element("IfcWall", "South")
    model.layers(twin)
    model.quantity(twin, "Qto_WallBaseQuantities", NetSideArea=8.0)
    floor = model.box(model.element("IfcSlab", "Floor", PredefinedType="FLOOR"), 6, 0.24, 4)
    model.layers(floor, ((240, "insulation"),))
    roof = model.element("IfcSlab", "Slope", PredefinedType="ROOF")
    model.layers(roof, ((280, "insulation"),))
    model.quantity(roof, "Qto_SlabBaseQuantities", NetArea=40.0)
    # Four that cannot be read.
    model.layers(model.element("IfcSlab", "Roof without an area", PredefinedType="ROOF"))
    model.layers(model.element("IfcSlab", "Ramp", PredefinedType="LANDING"))
    model.layers(model.element("IfcWall", "Brick"), ((365, "LoadBearing"),))
    model.layers(model.element("IfcWall", "Sketch"))
    return model.written(path)
