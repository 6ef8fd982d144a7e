"""Blower tables from CSV files, as spreadsheets of several countries save them."""

from __future__ import annotations

import io

import pytest

from inchwater import units
from inchwater.errors import FormatError, InputError, TableError
from inchwater.survey import TableRow, check_table, read_table

HEADER = "tap,tesp_inwc,airflow_cfm\n"


def cell(tap: str, inches: float, cfm: float | None, watts: float | None = None) -> TableRow:
    """One cell in SI."""
    airflow = None if cfm is None else units.to_si(cfm, "cfm")
    return TableRow(tap, units.to_si(inches, "inwc"), airflow, watts)


def test_two_cells_are_a_table():
    """The two cells around the reading are enough."""
    read = read_table(HEADER + "3,0.7,750\n3,0.8,655\n")
    assert (read.id, read.includes) == ("table", None)
    assert read.rows == (cell("3", 0.7, 750), cell("3", 0.8, 655))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    "lines",
    [
        ["tap,tesp_inwc,airflow_cfm", "3,0.7,1250", "3,0.8,1155", "3,0.9,-"],
        ["\ufefftap;tesp_inwc;airflow_cfm", "3;0,7;1.250", "3;0,8;1.155", "3;0,9;–"],
        [" Tap ; TESP_inwc ; Airflow_cfm ", "3;0,7;1250", "", "3;0,8;1155", "3;0,9;"],
        ["tap\ttesp_inwc\tairflow_cfm", "3\t0.7\t1,250", "3\t0.8\t1,155", "3\t0.9\t--"],
        ['"tap","tesp_inwc","airflow_cfm"', '"3","0,7","1250"', '3,"0.8",1155', "3,0.9,—"],
    ],
)
def test_separators_decimal_commas_marks_and_dashes_of_all_countries(lines, end):
    """Each of these is the same table."""
    if "1.250" in lines[1]:
        # A full stop alone is a decimal point, in whatever country.
        lines = [line.replace("1.250", "1250").replace("1.155", "1155") for line in lines]
    assert read_table(end.join(lines) + end).rows == (
        cell("3", 0.7, 1250),
        cell("3", 0.8, 1155),
        cell("3", 0.9, None),
    )


def test_columns_may_come_in_si_in_any_order_and_with_power_and_speed():
    """Watts and turns are optional."""
    read = read_table(
        "airflow_m3h;tesp_pa;speed_rpm;power_w;tap\n1800;100;1050;300;low\n1700;150;;;low\n"
    )
    assert read.rows == (
        TableRow("low", 100.0, 0.5, 300.0, units.to_si(1050, "rpm")),
        TableRow("low", 150.0, units.to_si(1700, "m3h"), None, None),
    )
    assert read_table("tap,tesp_pa,airflow_ls\n1,100,500\n1,150,400\n").rows[0].airflow == 0.5
    assert read_table("tap,tesp_pa,airflow_m3s\n1,100,0.5\n1,150,.4\n").rows[0].airflow == 0.5


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_every_encoding_of_a_spreadsheet_is_read(tmp_path, encoding):
    """The long dash is the one character of a table that encodings differ in."""
    path = tmp_path / "table.csv"
    path.write_text(
        "tap;tesp_inwc;airflow_cfm\nmed–high;0,7;750\nmed–high;0,8;–\nmed–high;0,6;800\n",
        encoding=encoding,
    )
    assert read_table(path, id="t9", includes=frozenset({"filter"})) == read_table(
        str(path), id="t9", includes=frozenset({"filter"})
    )
    read = read_table(path)
    assert read.taps == ("med–high",)
    assert [row.airflow is None for row in read.rows] == [False, True, False]
    with path.open("rb") as opened:
        assert read_table(opened) == read


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "\n",
            "table: nothing came; the columns tap,tesp_inwc,airflow_cfm are wanted, optionally "
            "power_w,speed_rpm.",
        ),
        (
            HEADER,
            "table: a header and no cell came; two cells of one tap are the least. "
            "Add the two cells around the reading.",
        ),
        (
            HEADER + "3,0.7,750\n",
            "table, tap 3: 1 cell with airflow came; two are the least from which a line can be "
            "drawn. Type another cell of this tap, or leave the tap out.",
        ),
        (
            HEADER + "2,0.7,750\n2,0.8,700\n3,0.7,-\n3,0.8,-\n",
            "table, tap 3: no cell with airflow came; two are the least from which a line can be "
            "drawn. Type another cell of this tap, or leave the tap out.",
        ),
        (
            HEADER + "3,0.7,750\n3,0.8,760\n",
            "table, tap 3: 760 cfm at 0.8 in. w.c. after 750 cfm at 0.7 in. w.c. came; airflow "
            "falls as external static rises. "
            "Check these two cells, and that the row was not read backwards.",
        ),
        (
            HEADER + "3,0.1,900\n3,0.2,-\n3,0.3,800\n",
            "table, tap 3: a dash at 0.2 in. w.c. between two cells with airflow came; dashes "
            "stand only at the ends of a row. "
            "Check this cell, or that the row was not shifted.",
        ),
        (
            HEADER + "3,0.1,900\n3,0.2,850\n3,0.4,800\n3,0.5,750\n",
            "table, tap 3: no cell at 0.3 in. w.c. came; between the first and the last cell of a "
            "tap none is left out. Type the missing cell.",
        ),
        (
            HEADER + "3,0.1,900\n3,0.3,800\n4,0.1,990\n4,0.2,950\n4,0.3,900\n",
            "table, tap 3: no cell at 0.2 in. w.c. came; between the first and the last cell of a "
            "tap none is left out. Type the missing cell.",
        ),
        (
            HEADER + "3,0.1,900\n3,0.1,850\n",
            "table, tap 3: two cells at 0.1 in. w.c. came; a tap has one cell at each pressure. "
            "Remove one of the two.",
        ),
        (
            HEADER + "3,0,7,750\n",
            "table, line 2: 4 cells came; the header has 3 columns. "
            "Put semicolons between the cells when numbers have decimal commas.",
        ),
        (
            HEADER + "3,0.7,750\n3\n",
            "table, line 3: 1 cell came; the header has 3 columns. "
            "Check the line, and leave the airflow empty where the table prints a dash.",
        ),
        (
            "tap,tesp_inwc\n3,0.1\n",
            "table, header: no column airflow_cfm or airflow_m3h or airflow_ls or airflow_m3s "
            "came; the columns tap,tesp_inwc,airflow_cfm are wanted, optionally "
            "power_w,speed_rpm. Add the column.",
        ),
        (
            "tap,tesp_inwc,tesp_pa,airflow_cfm\n3,1,2,3\n",
            "table, header: tesp_inwc and tesp_pa came; the columns tap,tesp_inwc,airflow_cfm are "
            "wanted, optionally power_w,speed_rpm. Give each quantity once, in one unit.",
        ),
        (
            "tap,tap,tesp_pa,airflow_cfm\n3,1,2,3\n",
            "table, header: the column 'tap' twice came; each column stands there once.",
        ),
        (
            "tap,tesp_inwc,airflow\n3,0.1,400\n",
            "table, header: the column 'airflow' came; the columns tap,tesp_inwc,airflow_cfm are "
            "wanted, optionally power_w,speed_rpm. Did you mean airflow_ls?",
        ),
        (
            "tap,0.1,0.2\nhigh,900,800\n",
            "table, header: the column '0.1' came; the columns tap,tesp_inwc,airflow_cfm are "
            "wanted, optionally power_w,speed_rpm. Write one line for each cell.",
        ),
        (
            HEADER + "3,0.7,many\n",
            "table, line 2, airflow_cfm: 'many' came; a number is wanted.",
        ),
        (
            HEADER + ",0.7,750\n",
            "table, line 2, tap: nothing came; the name of the tap stands in every line, as the "
            "table prints it.",
        ),
        (
            HEADER + "3,,750\n",
            "table, line 2, tesp: nothing came; the external static of the cell stands in every "
            "line.",
        ),
        (
            HEADER + "3,0.7,0\n",
            "table, line 2, airflow_cfm: 0 came; a number above zero is wanted. "
            "Leave the cell empty where the table prints a dash.",
        ),
        (
            HEADER + "3,-0.7,750\n",
            "table, line 2, tesp_inwc: -0.7 came; a number above zero is wanted. "
            "Leave the cell empty where the table prints a dash.",
        ),
        (
            HEADER + "3,150,750\n3,175,655\n",
            "table, tap 3: a column at 150 in. w.c. came; the columns of blower tables run from "
            "0 to 5 in. w.c. Check whether the column is in Pa.",
        ),
        (
            HEADER + "3,0.7,75000\n3,0.8,65000\n",
            "table, tap 3: 75,000 cfm at 0.7 in. w.c. came; the airflows of blower tables run "
            "from 10 to 10,000 cfm. Leave the airflow out where the table prints a dash.",
        ),
        (
            "\x00\x01\x02\n\x00",
            "table: a file that is not text came; a CSV file is wanted; the columns "
            "tap,tesp_inwc,airflow_cfm are wanted, optionally power_w,speed_rpm. "
            "Save the sheet as CSV first.",
        ),
    ],
)
def test_a_table_that_cannot_be_right_is_refused(text, message):
    """Which line or tap, what came, what would be right, what to do next."""
    with pytest.raises(InputError) as caught:
        read_table(text)
    assert str(caught.value) == message


def test_a_picture_is_no_table(tmp_path):
    """Its first byte outside text is named."""
    path = tmp_path / "table.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    with pytest.raises(FormatError) as caught:
        read_table(path)
    assert str(caught.value) == (
        "table.png: byte 0x89 at place 0 came; text in UTF-8 is wanted. "
        "Choose a text file; a picture, a PDF or a spreadsheet file is none."
    )


def test_a_file_that_is_too_large_is_not_read(tmp_path):
    """No blower table is that long, on disk or typed."""
    path = tmp_path / "large.csv"
    with path.open("wb") as large:
        large.truncate(50_000_000)
    with pytest.raises(FormatError) as caught:
        read_table(path)
    assert str(caught.value) == (
        "large.csv: 50 MB came; at most 0.2 MB are read. "
        "Choose another file: this one holds something else."
    )
    with pytest.raises(FormatError):
        read_table(HEADER + "3,0.7,750\n" * 30_000)


def test_a_file_that_is_not_there_is_named():
    """The path is said."""
    with pytest.raises(InputError) as caught:
        read_table("nowhere.csv")
    assert str(caught.value) == (
        "nowhere.csv: 'nowhere.csv' came; a file that can be read is wanted "
        "(No such file or directory). Check the path."
    )


def test_a_flat_table_may_rise_by_its_rounding():
    """Half a percent over any distance, and not half a percent at each step."""
    check_table([cell("1", 0.1, 1000), cell("1", 0.2, 1005), cell("1", 0.3, 1000)])
    creeping = [cell("1", 0.1 * n, 1000 + 4 * n) for n in range(1, 6)]
    with pytest.raises(TableError) as caught:
        check_table(creeping, "plate")
    assert str(caught.value) == (
        "plate, tap 1: 1,012 cfm at 0.3 in. w.c. after 1,004 cfm at 0.1 in. w.c. came; airflow "
        "falls as external static rises. "
        "Check these two cells, and that the row was not read backwards."
    )


def test_a_table_without_a_cell_is_none():
    """Nothing to draw a line from."""
    with pytest.raises(TableError) as caught:
        check_table([])
    assert str(caught.value) == (
        "table: no cell came; two cells of one tap are the least. "
        "Type the two cells around the reading."
    )


def test_a_hole_shows_against_the_steps_of_its_row():
    """In a row of even steps a double step is a missing cell; in wide or few steps it is none."""
    even = [(0.1, 900), (0.2, 860), (0.3, 820), (0.5, 730)]
    with pytest.raises(TableError) as caught:
        check_table([cell("1", p, q) for p, q in even])
    assert str(caught.value) == (
        "table, tap 1: no cell at 0.4 in. w.c. came; between the first and the last cell of a tap "
        "none is left out. Type the missing cell."
    )
    check_table([cell("1", p, q) for p, q in [*even, (0.7, 600)]])
    check_table([cell("1", p, q) for p, q in [(0.1, 900), (0.2, 860), (0.4, 780)]])


def test_the_text_itself_may_come_from_an_open_text():
    """A page hands over what was uploaded."""
    assert read_table(io.StringIO(HEADER + "3,0.7,750\n3,0.8,655\n")).taps == ("3",)
