"""Sections as SVG: what drawing programs write, and what nobody should open."""

from __future__ import annotations

import time

import numpy as np
import pytest

from rimfea.errors import FileError, SectionError
from rimfea.files.outline_svg import read_outline_svg, write_outline_svg
from rimfea.geometry.outline import moments
from rimfea.geometry.ring import signed_area
from rimfea.traced.repair import repaired

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
IN_MM = 'width="100mm" height="50mm" viewBox="0 0 100 50">'


@pytest.fixture
def svg(file):
    """Write shapes into an SVG whose numbers are mm, or with another head."""
    return lambda shapes, head=IN_MM: file("a.svg", f"{HEAD}{head}{shapes}</svg>")


def area(path, unit=None):
    return sum(abs(signed_area(each.ring())) for each in read_outline_svg(path, unit).trails)


def test_what_is_written_is_read_back_and_arcs_stay_arcs(curlew, tmp_path):
    path = tmp_path / "curlew.svg"
    write_outline_svg(path, curlew)
    drawing = read_outline_svg(path)
    found = repaired(drawing).outline
    assert moments(found) == pytest.approx(moments(curlew), rel=1e-6, abs=1e-3)
    assert len(found.labels) == len(curlew.labels)
    assert (drawing.unit, drawing.unit_from) == ("mm", "as the file says")


@pytest.mark.parametrize(
    ("head", "unit", "factor"),
    [
        (IN_MM, None, 1.0),
        ('width="4in" viewBox="0 0 4 2">', None, 25.4),
        ('width="10cm" height="5cm" viewBox="10 10 1000 500">', None, 0.1),
        ('width="90pt" height="45pt">', None, 25.4 / 96),
        ('width="960px" height="480px" viewBox="0 0 10 5">', None, 25.4),
        ('viewBox="0 0 30 30">', "mm", 1.0),
        ('width="640" height="480">', "inch", 25.4),
        ('width="100%" height="100%" viewBox="0 0 30 30">', "mm", 1.0),
    ],
)
def test_a_number_in_a_path_is_as_long_as_width_and_view_box_say(svg, head, unit, factor):
    path = svg('<path d="M1,2 h3 v2 h-3 z"/>', head)
    assert area(path, unit) == pytest.approx(6 * factor**2, rel=1e-9)


@pytest.mark.parametrize("head", ['viewBox="0 0 9 9">', 'width="640" height="480">', ">"])
def test_a_drawing_without_a_real_width_asks_for_the_unit(svg, head):
    with pytest.raises(FileError, match="in which unit was it drawn"):
        read_outline_svg(svg('<path d="M1,2 h3 v2 h-3 z"/>', head))


def test_y_is_turned_upward(svg):
    (found,) = read_outline_svg(svg('<path d="M0,0 L10,0 L10,7 z"/>')).trails
    assert found.corners.tolist() == [[0, 0], [10, 0], [10, -7]]


@pytest.mark.parametrize(
    ("shape", "wanted"),
    [
        ('<rect x="3" y="3" width="6" height="4"/>', 24),
        ('<rect width="6" height="4" rx="1"/>', 24 - (4 - np.pi)),
        ('<circle cx="9" r="3"/>', 9 * np.pi),
        ('<ellipse rx="3" ry="2"/>', 6 * np.pi),
        ('<polygon points="0,0 4,0 4,3"/>', 6),
        ('<path d="M0 0 A5 5 0 1 1 0 10 Z"/>', 12.5 * np.pi),
        ('<path d="M0 0 C0 4 8 4 8 0 Z"/>', 19.2),
        ('<path d="M0 0 Q4 6 8 0 Z"/>', 16),
        ('<g transform="rotate(30) scale(2)"><rect width="6" height="4" rx="1"/></g>',
         4 * (24 - (4 - np.pi))),
        ('<circle r="3" transform="scale(2,1)"/>', 18 * np.pi),
        ('<circle r="3" transform="scale(-1,1) skewX(20)"/>', 9 * np.pi),
        (('<defs><rect id="r" width="6" height="4"/></defs><use href="#r"/>'
         '<use xlink:href="#r" x="20"/>'), 48),
        ('<path style="fill:none;stroke:#000" d="M0,0 h3 v2 h-3 z"/>', 6),
    ],
)  # fmt: skip
def test_shapes_have_their_area_whatever_their_transform(svg, shape, wanted):
    assert area(svg(shape)) == pytest.approx(wanted, rel=1e-3, abs=0.02)


def test_circular_arcs_stay_arcs_and_other_curves_become_pieces(svg):
    (round_,) = read_outline_svg(svg('<circle r="3" transform="rotate(9) scale(2)"/>')).trails
    assert np.abs(round_.bulge).min() > 0.4
    assert abs(signed_area(round_.ring())) == pytest.approx(36 * np.pi, rel=1e-9)
    (oval,) = read_outline_svg(svg('<ellipse rx="9" ry="4"/>')).trails
    assert not oval.bulge.any()
    beside = (oval.corners / [9, 4]) ** 2
    assert beside.sum(axis=1) == pytest.approx(1, abs=1e-9)
    assert abs(signed_area(oval.ring())) == pytest.approx(36 * np.pi, rel=5e-4)


def test_a_line_within_a_line_is_a_chamber(svg):
    drawing = read_outline_svg(
        svg('<path fill-rule="evenodd" d="M0,0 h20 v15 h-20 z M3,3 h14 v9 h-14 z"/>')
    )
    assert moments(repaired(drawing).outline)[0] == pytest.approx(20 * 15 - 14 * 9)


def test_what_is_not_seen_is_left_out_and_told(svg):
    found = read_outline_svg(
        svg(
            "<text>curlew</text>"
            '<rect width="3" height="3"/><rect width="9" height="9" visibility="hidden"/>'
            '<rect width="9" height="9" fill="none"/>'
            '<g display="none"><rect width="8" height="8"/></g>'
            '<clipPath id="c"><rect width="5" height="5"/></clipPath>'
            '<image width="9" height="9" href="file:///etc/passwd"/>'
        )
    )
    assert len(found.trails) == 1
    assert found.dropped == (
        "1 clipPath, which cuts nothing off here",
        "1 image",
        "2 shapes that are not seen",
        "1 text",
    )


def test_entities_and_other_files_are_never_followed(file, tmp_path):
    (tmp_path / "secret.txt").write_text("M0,0 h9 v9 z")
    lines = "".join(
        f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' if k else '<!ENTITY a0 "aaaaaaaaaa">'
        for k in range(12)
    )
    bomb = file("a.svg", f"<!DOCTYPE svg [{lines}]>{HEAD}{IN_MM}<path d='&a11;'/></svg>")
    outside = file(
        "b.svg",
        f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{tmp_path}/secret.txt">]>{HEAD}{IN_MM}'
        "<text>&x;</text></svg>",
    )
    for path in (bomb, outside):
        with pytest.raises(FileError, match=r"entities of its own|points to another file"):
            read_outline_svg(path)


def test_a_document_type_alone_does_no_harm(file):
    public = '"-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"'
    path = file("a.svg", f"<!DOCTYPE svg PUBLIC {public}>{HEAD}{IN_MM}<circle r='3'/></svg>")
    assert len(read_outline_svg(path).trails) == 1


def test_copies_of_copies_and_groups_without_end_are_refused_at_once(svg):
    copies = '<rect id="a0" width="1" height="1"/>' + "".join(
        f'<g id="a{k}">{f"""<use href="#a{k - 1}"/>""" * 10}</g>' for k in range(1, 12)
    )
    round_ = '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    deep = "<g>" * 5000 + '<rect width="1" height="1"/>' + "</g>" * 5000
    start = time.process_time()
    for shapes, told in (
        (copies, "more than 4000 lines"),
        (round_, "groups within groups without end"),
        (deep, "groups within groups without end"),
        (f'<path d="M0 0 {"1 1 " * 300_000}"/>', "more than 100000 points"),
        ('<path d="M0 0 C 1e9 0 0 1e9 1 1"/>', "is too long"),
    ):
        with pytest.raises((FileError, SectionError), match=told):
            read_outline_svg(svg(shapes))
    assert time.process_time() - start < 5


@pytest.mark.parametrize(
    ("shapes", "told"),
    [
        ("<path d='M0 0'", "is a broken SVG"),
        ("<rect width='x' height='2'/><", "is a broken SVG"),
    ],
)
def test_a_broken_file_is_told(svg, shapes, told):
    with pytest.raises(FileError, match=told):
        read_outline_svg(svg(shapes))


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ('width="9mm" viewBox="0 0 0 5">', "its viewBox has no width"),
        ('width="9mm" height="9mm" viewBox="0 0 9 3" preserveAspectRatio="none">', "is stretched"),
    ],
)
def test_a_view_that_cannot_be_is_refused(svg, head, told):
    with pytest.raises(FileError, match=told):
        read_outline_svg(svg("<circle r='3'/>", head))


def test_another_tree_is_refused(file):
    with pytest.raises(FileError, match="is no SVG: its root is 'html'"):
        read_outline_svg(file("a.svg", "<html><svg/></html>"))


def test_an_arc_with_a_number_that_is_none_is_refused(svg):
    with pytest.raises(SectionError, match="an arc has a number that is none"):
        read_outline_svg(svg("<path fill='red' d='M 0 0 A 0.7 0.7e999 0 0 1 7 5 Z'/>"))
