"""Cells that several tests read: a small one with everything in it, and how to read files."""

import os
from pathlib import Path

from tests.charts.cell_writer import CellWriter
from wheelover.charts.s57 import CellReading, GivenFile, named_file, read_cell

RING = [(50.0, -1.5), (50.0, -1.0), (50.2, -0.98), (50.5, -1.0), (50.5, -1.5), (50.3, -1.52)]
HOLE = [(50.2, -1.3), (50.25, -1.32), (50.3, -1.3), (50.3, -1.2)]
OTHER_HOLE = [(50.1, -1.2), (50.12, -1.1), (50.15, -1.15)]


def reading_of(*files: bytes | tuple[str, bytes]) -> CellReading:
    """Return what is read of files of one cell."""
    named = [one if isinstance(one, tuple) else (f"file-{i}", one) for i, one in enumerate(files)]
    return read_cell([named_file(GivenFile(name=name, body=body)) for name, body in named])


def rich_cell(writer: CellWriter | None = None) -> CellWriter:
    """Return a cell with every kind of object, not yet written."""
    desk = CellWriter() if writer is None else writer
    desk.area("M_COVR", RING, CATCOV=1)
    desk.area("M_QUAL", RING, CATZOC=3, POSACC=50.0)
    desk.area("DEPARE", RING, holes=[HOLE, OTHER_HOLE], DRVAL1=5, DRVAL2=10, fid=500)
    desk.area("DEPARE", HOLE, DRVAL1=-1.2, DRVAL2=0)
    desk.area("UNSARE", OTHER_HOLE)
    desk.area("DRGARE", HOLE, DRVAL1=9.4, SORDAT="20250301", RESTRN=["1", "7"])
    desk.area("RESARE", HOLE, RESTRN=["14"], CATREA=["28"], OBJNAM="Gruß & Æro, reserve")
    desk.line("DEPCNT", [*HOLE, HOLE[0]], VALDCO=5)
    desk.line("COALNE", RING[:5], CATCOA=1)
    desk.line("CBLOHD", RING[1:3], VERCLR=38.5, VERDAT=17, CATCBL=1)
    desk.line("TSELNE", RING[2:5])
    desk.area("TSSLPT", OTHER_HOLE, ORIENT=73.5)
    desk.point("WRECKS", (50.1, -1.25), VALSOU=3.2, WATLEV=3, CATWRK=2, QUASOU=["6"], fid=700)
    desk.point("WRECKS", (50.11, -1.26), CATWRK=1, EXPSOU=2)
    desk.point("OBSTRN", (50.12, -1.27), VALSOU=None, WATLEV=3)
    desk.point("UWTROC", (50.13, -1.28), VALSOU=-0.6, WATLEV=4)
    desk.point("BOYLAT", (50.14, -1.29), CATLAM=2, COLOUR=["3"], OBJNAM="No 7", BOYSHP=2)
    desk.point("LIGHTS", (50.14, -1.29), SIGPER=4, SIGGRP="(2)", COLOUR=["3"], VALNMR=5)
    desk.soundings([(50.21, -1.11, 12.3), (50.22, -1.12, 8.0), (50.23, -1.13, -0.4)], fid=900)
    desk.soundings([(50.31, -1.14, 21.7)])
    desk.bare("C_AGGR")
    desk.point("TOPMAR", (50.14, -1.29), TOPSHP=1)
    return desk


def real_cells() -> list[Path]:
    """Return the real cells of the folder that WHEELOVER_TEST_CELLS names."""
    folder = os.environ.get("WHEELOVER_TEST_CELLS")
    return [] if not folder else sorted(Path(folder).glob("*.000"))
