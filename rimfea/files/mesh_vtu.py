"""Writing a solved section as a VTK XML unstructured grid (.vtu), for any viewer of fields.

The format is that of "VTK File Formats" (Kitware): six-node triangles in its node order, which
is also ours, arrays on nodes and triangles, and field data for the whole grid.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from xml.sax.saxutils import quoteattr

import meshio
import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.material import von_mises
from rimfea.files.whole_file import file_errors, write_file
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer

COMPONENTS = ("xx", "yy", "zz", "yz", "zx", "xy")
_GRID = "<UnstructuredGrid>\n"


def write_vtu(
    path: str | Path, analysis: Analysis, answer: Answer, *, overwrite: bool = False
) -> None:
    """Write one case of a rim: its mesh, displacement and stress.

    All is of the section where the governing wall is worst. On the nodes ``displacement_mm`` of
    the growing loads, and of all loads ``stress_xx_MPa`` to ``stress_xy_MPa`` and
    ``von_mises_MPa``, with x lateral, y outward and z along the rim; on the triangles the
    integer ``wall``. Field data hold one integer under the name of each wall: the number by
    which ``wall`` means it.

    Raises :class:`FileError` if the file is already there, unless ``overwrite``, or cannot be
    written; ValueError if the answer is not one of this rim's.
    """
    if not any(answer is each for each in analysis.answers):
        raise ValueError(f"'{answer.name}' is an answer of another rim")
    with file_errors(path, "written"):
        text = _text(analysis, answer)
    write_file(path, text, overwrite=overwrite)


def vtu_text(grid: meshio.Mesh, names: tuple[str, ...]) -> str:
    """A grid as a file, with the names of walls that its integers mean."""
    with TemporaryDirectory() as folder:  # meshio writes by name only
        written = Path(folder) / "grid.vtu"
        grid.write(written, file_format="vtu")
        text = written.read_text(encoding="utf-8")
    return text.replace(_GRID, _GRID + _named(names), 1)


def on_nodes(displacement: Floats, stress: Floats) -> dict[str, Floats]:
    """Displacement (n, 3) in mm and stress (n, 6) in MPa by the names that they have in a file."""
    named = {
        f"stress_{component}_MPa": np.ascontiguousarray(stress[:, k])
        for k, component in enumerate(COMPONENTS)
    }
    return {"displacement_mm": displacement, **named, "von_mises_MPa": von_mises(stress)}


def _text(analysis: Analysis, answer: Answer) -> str:
    mesh = analysis.mesh
    grid = meshio.Mesh(
        _in_space(mesh.nodes),
        [("triangle6", mesh.triangles)],
        point_data=on_nodes(answer.displacement(), answer.stress()),
        cell_data={"wall": [mesh.triangle_label]},
    )
    return vtu_text(grid, mesh.names)


def _in_space(plane: Floats) -> Floats:
    return np.column_stack([plane, np.zeros(len(plane))])


def _named(names: tuple[str, ...]) -> str:
    """The field data that say which wall each integer means: meshio reads them, but does not
    write any.
    """
    arrays = "".join(
        f'<DataArray type="Int64" Name={quoteattr(name)} NumberOfTuples="1" format="ascii">'
        f"{number}</DataArray>\n"
        for number, name in enumerate(names)
    )
    return f"<FieldData>\n{arrays}</FieldData>\n"
