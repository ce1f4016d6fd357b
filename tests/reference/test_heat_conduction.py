"""The combined method against heat conduction worked out cell by cell in three dimensions.

Whatever way heat takes, its resistance lies between the two limits; the method's own
estimate of its error must cover the difference. Finite volumes with conductances in
series between cell centres, adiabatic at the planes of symmetry.
"""

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.linalg import spsolve

from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Runs
from service.engine.heat.thermal import thermal
from service.engine.survey.cavity import BuildUpLayer
from tests.builders import fraction, layer, wall

FILL, TIMBER = 0.039, 0.13


def cells(*parts):
    """Cell sizes in m from (length in mm, number of cells)."""
    return np.concatenate([np.full(count, length / 1000 / count) for length, count in parts])


def conducted(conductivity, x, y, z, rsi, rse):
    """Resistance in m2K/W across z, from rse's side to rsi's, of cells with the given conductivities."""
    size = np.meshgrid(x, y, z, indexing="ij")
    number = np.arange(conductivity.size).reshape(conductivity.shape)
    rows, columns, values = [], [], []
    for axis in range(3):
        area = np.prod([size[other] for other in range(3) if other != axis], axis=0)
        half = size[axis] / 2 / (conductivity * area)
        first, last = [slice(None)] * 3, [slice(None)] * 3
        first[axis], last[axis] = slice(None, -1), slice(1, None)
        between = (1 / (half[tuple(first)] + half[tuple(last)])).ravel()
        one, other = number[tuple(first)].ravel(), number[tuple(last)].ravel()
        rows += [one, other, one, other]
        columns += [other, one, one, other]
        values += [-between, -between, between, between]
    area = size[0][:, :, 0] * size[1][:, :, 0]
    outer = area / (rse + z[0] / 2 / conductivity[:, :, 0])
    inner = area / (rsi + z[-1] / 2 / conductivity[:, :, -1])
    load = np.zeros(conductivity.shape)
    load[:, :, -1] = inner
    rows += [number[:, :, 0].ravel(), number[:, :, -1].ravel()]
    columns += [number[:, :, 0].ravel(), number[:, :, -1].ravel()]
    values += [outer.ravel(), inner.ravel()]
    matrix = csr_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))))
    temperature = spsolve(matrix.tocsc(), load.ravel()).reshape(conductivity.shape)
    return area.sum() / (outer * temperature[:, :, 0]).sum()


def stack(x, y, *layers):
    """Conductivities of cells: for each layer its z cells, its base, and timber where x and y say so."""
    return np.concatenate(
        [
            np.where(timber[:, :, None], TIMBER, np.full((len(x), len(y), count), base))
            for count, base, timber in layers
        ],
        axis=2,
    )


# Half a bay of 625 mm: 22.5 mm of stud, then 290 mm of fill. Across it, half a batten of 60 at 400 mm.
X = cells((22.5, 4), (290, 16))
Y = cells((30, 3), (170, 9))
NONE = np.zeros((len(X), len(Y)), dtype=bool)
STUD = NONE | (np.arange(len(X)) < 4)[:, None]
BATTEN = NONE | (np.arange(len(Y)) < 3)[None, :]
STUDS, BATTENS = fraction(45 / 625), fraction(60 / 400, runs=Runs.ACROSS)
LINING = BuildUpLayer(name="lining", thickness_mm=12.5, conductivity_w_mk=0.25)
SHEATHING = BuildUpLayer(name="sheathing", thickness_mm=16, conductivity_w_mk=0.13)

CASES = {
    "one leaf": ((200, STUDS, STUD),),
    "two aligned leaves with a gap": ((145, STUDS, STUD), (120, None, NONE), (95, STUDS, STUD)),
    "studs and crossing battens": ((200, STUDS, STUD), (60, BATTENS, BATTEN)),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_conduction_lies_between_the_limits_and_within_the_stated_error(case):
    cavity = wall(
        layers=tuple(layer(depth, framed) for depth, framed, _ in case),
        outside=(SHEATHING,),
        inside=(LINING,),
    )
    found = thermal(cavity=cavity, geometry=geometry(cavity=cavity), conductivity_w_mk=FILL)
    z = cells((16, 2), *((depth, depth // 15) for depth, _, _ in case), (12.5, 2))
    filled = [(depth // 15, FILL, timber) for depth, _, timber in case]
    grid = stack(X, Y, (2, 0.13, NONE), *filled, (2, 0.25, NONE))

    resistance = conducted(grid, X, Y, z, rsi=found.rsi, rse=found.rse)

    assert found.r_lower < resistance < found.r_upper
    assert found.u_value_w_m2k == pytest.approx(1 / resistance, rel=found.error_percent / 100)


def test_the_cells_agree_with_layers_in_series():
    z = cells((16, 2), (200, 8), (12.5, 2))
    grid = stack(X, Y, (2, 0.13, NONE), (8, FILL, NONE), (2, 0.25, NONE))

    found = conducted(grid, X, Y, z, rsi=0.13, rse=0.04)

    assert found == pytest.approx(0.17 + 0.016 / 0.13 + 0.2 / FILL + 0.0125 / 0.25, rel=1e-9)
