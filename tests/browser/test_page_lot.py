"""Drawing a lot in the browser: by taps, by keys alone, by tape; figures, faults at their place, undo."""

import json
import math
import re
from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.site.frame import to_lon_lat, to_metres
from optimizer.site.read import read_site


def board_point(page, x_share, y_share):
    box = page.locator(".board").bounding_box()
    return box["x"] + x_share * box["width"], box["y"] + y_share * box["height"]


def tap(page, *places):
    for place in places:
        page.mouse.click(*board_point(page, *place))


def drawing(page):
    return page.evaluate("JSON.parse(localStorage.getItem('lotwire.lot')).drawing")


def lot(page):
    return next(f for f in drawing(page)["features"] if f["role"] == "lot")


def shoelace_m2(points):
    """Area of a polygon. Source: shoelace formula, any handbook of surveying."""
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]]))) / 2


def test_a_lot_is_tapped_measured_and_taken_back(open_page):
    page = open_page("#/lot/new/empty")
    page.click("[data-tool=lot]")
    tap(page, (0.2, 0.2), (0.7, 0.2), (0.6, 0.5))
    page.click("text=Undo")  # takes the last corner back
    tap(page, (0.7, 0.8), (0.2, 0.8), (0.2, 0.2))
    assert len(lot(page)["points"]) == 4
    assert f"{shoelace_m2(lot(page)['points']):.1f} m²" in page.inner_text(".facts")
    page.locator(".side").first.click()
    page.keyboard.type("18.5")
    page.keyboard.press("Enter")
    a, b = lot(page)["points"][:2]
    assert math.dist(a, b) == pytest.approx(18.5, abs=0.002)  # millimetres are kept
    sides = [math.dist(p, q) for p, q in zip(lot(page)["points"], [*lot(page)["points"][1:], a])]
    assert shoelace_m2(lot(page)["points"]) == pytest.approx(sides[0] * sides[1], rel=1e-4)  # a rectangle stays one
    page.click("text=Undo")
    assert math.dist(*lot(page)["points"][:2]) != pytest.approx(18.5, abs=0.01)
    page.click("text=Redo")
    assert math.dist(*lot(page)["points"][:2]) == pytest.approx(18.5, abs=0.002)


def test_a_corner_is_dragged_into_a_crossing_and_the_fault_shows_there(open_page):
    page = open_page("#/lot/new/empty")
    page.click("text=Begin with a rectangle")
    corner = page.locator(".corner").nth(0).bounding_box()
    page.mouse.move(corner["x"] + corner["width"] / 2, corner["y"] + corner["height"] / 2)
    page.mouse.down()
    page.mouse.move(*board_point(page, 0.9, 0.45), steps=6)
    page.mouse.up()
    page.wait_for_selector(".flag")
    assert "crosses itself" in page.inner_text(".faults")
    page.click("text=Undo")
    page.wait_for_selector(".flag", state="detached")


def test_the_keyboard_alone_draws_a_lot_and_a_tree(open_page):
    page = open_page("#/lot/new/empty")
    page.focus("[data-tool=lot]")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.getAttribute('role')") == "application"
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Enter")
    for key in ("ArrowRight", "ArrowUp", "ArrowLeft"):
        for _ in range(10):
            page.keyboard.press(f"Shift+{key}")
        page.keyboard.press("Enter")
    page.keyboard.press("Enter")  # without a cross: finishes
    assert shoelace_m2(lot(page)["points"]) == pytest.approx(100.0)
    page.focus("[data-tool=tree]")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    tree = next(f for f in drawing(page)["features"] if f["role"] == "tree")
    page.keyboard.press("Shift+ArrowLeft")
    moved = next(f for f in drawing(page)["features"] if f["role"] == "tree")
    assert moved["points"][0][0] == pytest.approx(tree["points"][0][0] - 1.0)
    page.keyboard.press("Control+z")
    assert next(f for f in drawing(page)["features"] if f["role"] == "tree") == tree


def test_the_drawing_follows_the_tape(open_page, tmp_path):
    """Sides 12 and 5 with diagonals of 13: the rectangle of the 5-12-13 triangle (Euclid I.47)."""
    page = open_page("#/lot/new/empty")
    page.click("[data-tool=lot]")
    tap(page, (0.2, 0.75), (0.75, 0.7), (0.7, 0.3), (0.25, 0.25), (0.2, 0.75))
    page.click("text=Measured with a tape")
    entries = page.locator(".tapes input[type=number]")
    for i, metres in enumerate(("12", "5", "12", "5", "13", "13")):
        entries.nth(i).fill(metres)
        entries.nth(i).press("Tab")
    page.click("text=Fit the drawing to the tape")
    page.wait_for_selector("text=follows them now")
    points = lot(page)["points"]
    assert shoelace_m2(points) == pytest.approx(60.0, abs=0.01)
    site = saved(page, tmp_path / "fitted")
    assert [r.measured_m for r in site.tape_report.readings] == [12, 5, 12, 5, 13, 13] and site.lot.area == pytest.approx(60.0, abs=0.01)
    entries.nth(4).fill("14.2")
    entries.nth(4).press("Tab")
    page.click("text=Fit the drawing to the tape")
    page.wait_for_selector(".tapes .warn")
    assert "A-C" in page.inner_text(".tapes .warn")  # the wrong reading is named


def test_a_file_is_opened_and_comes_out_the_same(open_page, tmp_path):
    source = Path(__file__).parents[2] / "sites" / "terrace.geojson"
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector("text=hook under the eaves")
    with page.expect_download() as download:
        page.click("text=Save as a file")
    kept = tmp_path / "kept.geojson"
    download.value.save_as(kept)
    before, after = read_site(source), read_site(kept)
    assert after.lot.hausdorff_distance(before.lot) < 0.001  # corners are kept to the millimetre
    assert [b.name for b in after.buildings] == [b.name for b in before.buildings]
    assert after.supports[0].height_m == before.supports[0].height_m


def feature(role, geometry, **more):
    return {"type": "Feature", "properties": {"role": role, **more}, "geometry": {"type": geometry[0], "coordinates": geometry[1]}}


def test_a_faulty_file_is_answered_with_every_fault_of_it(open_page, tmp_path):
    """As the command line tells them, whatever the page could have drawn of it."""
    oblong = ("Polygon", [[[5.0, 50.0], [5.001, 50.0], [5.001, 50.001], [5.0, 50.001], [5.0, 50.0]]])
    path = ("MultiLineString", [[5.0, 50.0], [5.001, 50.001]])
    features = [feature("lot", oblong), feature("overhead_line", path, height_m=8), feature("suport", ("Point", [5.0005, 50.0005]), height_m=3)]
    site = {"name": "Oblong", "height_limit_m": "8 m", "itu_region": 4, "currency": "EUR"}
    source = tmp_path / "many.geojson"
    source.write_text(json.dumps({"type": "FeatureCollection", "site": site, "features": features}))
    with pytest.raises(InputError) as told:
        read_site(source)
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".faults >> text=LineString")
    lines = page.locator(".faults .fault").all_inner_texts()
    assert len(lines) == len(told.value.faults) == 4
    assert all(any(f.allowed in line for line in lines) for f in told.value.faults)
    assert not any("iterable" in line for line in lines)


def test_a_file_with_longitude_and_latitude_exchanged_is_answered_with_the_hint(open_page, tmp_path):
    """In the user's own degrees, not in those of a drawing half a world wide."""
    content = json.loads((Path(__file__).parents[2] / "sites" / "terrace.geojson").read_text())
    ring = content["features"][0]["geometry"]["coordinates"][0]
    ring[:] = [p[::-1] for p in ring]
    source = tmp_path / "exchanged.geojson"
    source.write_text(json.dumps(content))
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".faults .fault")
    assert page.inner_text(".faults").count("longitude comes first") == 1 and str(content["features"][1]["geometry"]["coordinates"][0][0][0])[:7] in page.inner_text(".faults")


@pytest.mark.parametrize("text", ["[1, 2]", "{", '{"type": "FeatureCollection", "features": [7], "site": 5}', "\0"])
def test_a_file_of_anything_is_answered_in_plain_words(open_page, tmp_path, text):
    source = tmp_path / "odd.geojson"
    source.write_text(text)
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".faults >> text=odd.geojson")
    assert not re.search("TypeError|undefined|not iterable|of null", page.inner_text(".faults"))


def test_a_file_the_page_itself_stumbles_over_is_one_plain_sentence(open_page, tmp_path):
    source = Path(__file__).parents[2] / "sites" / "terrace.geojson"
    page = open_page("#/lot/new/empty")
    page.evaluate("() => { File.prototype.text = () => Promise.reject(new TypeError('x is not iterable')) }")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".faults .fault >> text=terrace.geojson")
    assert page.locator(".faults .fault").all_inner_texts() == ["! terrace.geojson: this file cannot be opened."]


def test_a_tape_survey_tells_what_every_tape_is_off_by(open_page, tmp_path):
    """Sides 12 and 5, diagonals 13 (Euclid I.47), one of them read 13.4."""
    pairs = {"a-b": 12, "b-c": 5, "c-d": 12, "d-a": 5, "a-c": 13, "b-d": 13.4}
    tapes = "".join('[[tape]]\nfrom = "{}"\nto = "{}"\nm = {}\n'.format(*name.split("-"), m) for name, m in pairs.items())
    head = '[site]\nname = "Oblong"\nheight_limit_m = 9\nitu_region = 1\ncurrency = "EUR"\nlon = 5.5\nlat = 50\n'
    source = tmp_path / "oblong.toml"
    source.write_text(head + tapes + '[[feature]]\nrole = "lot"\npoints = ["a", "b", "c", "d"]\n')
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".survey")
    told = page.inner_text(".survey")
    assert "reads 13.40 m and does not fit" in told and all(f"{name} " in told for name in pairs)
    with page.expect_response("**/api/sites/check"):
        page.reload()
    page.wait_for_selector(".survey")
    assert page.inner_text(".survey") == told
    page.wait_for_timeout(300)  # what the service says of it is not told a second time
    assert page.inner_text("main").count("does not fit") == 1
    page.click("text=Rectangle, example, open, save") if not page.is_visible("text=Empty paper") else None
    page.click("text=Empty paper")
    page.wait_for_selector(".survey", state="detached")


YARD = Path(__file__).parents[2] / "sites" / "workshop_yard.toml"


def opened(page, path):
    page.set_input_files("input[type=file]", path)
    page.wait_for_selector(".survey")


def saved(page, to):
    """The lot as the page gives it away; it goes to the service in the same form."""
    if not page.is_visible("text=Save as a file"):
        page.click("text=Rectangle, example, open, save")
    with page.expect_download() as download:
        page.click("text=Save as a file")
    to = to.with_suffix(Path(download.value.suggested_filename).suffix)
    download.value.save_as(to)
    return read_site(to)


def nudge(page, name, *keys):
    """Choose a thing and move it by keys; away from whatever it is snapped to."""
    page.click(f"[data-feature] >> text={name}")
    page.focus(".board")
    for key in keys:
        page.keyboard.press(key)


@pytest.fixture(params=["metres", "earth", "given", "two_given"])
def yard(request, tmp_path):
    """The yard by tape: nowhere, at a place on earth with its base line on a bearing, with one point of it known, with two of them on a bearing."""
    more = {"metres": "", "earth": "lon = 5.5\nlat = 50\nbase_bearing_deg = 83.5\n", "given": "base_bearing_deg = 70\n[points]\nnw = [2.5, -3]\n",
            "two_given": "base_bearing_deg = 60\n[points]\nsw = [1, 2]\nse = [18.9, 3.7]\n"}  # fmt: skip
    text = YARD.read_text()
    assert text.count("m = 28.26") == text.count('soil = "poor"\n') == 1
    path = tmp_path / "yard.toml"
    path.write_text(text.replace("m = 28.26", "m = 28.46").replace('soil = "poor"\n', f'soil = "poor"\n{more[request.param]}'))
    return path


def test_a_lot_keeps_its_tapes_until_a_taped_corner_is_moved(open_page, yard, tmp_path):
    """One tape reads 20 cm too much. What was added by hand and what was turned whole bends no tape; a taped corner elsewhere is another lot."""
    before = read_site(yard)
    residuals = [r.residual_m for r in before.tape_report.readings]
    page = open_page("#/lot/new/empty")
    opened(page, yard)
    page.focus("[data-tool=tree]")
    page.keyboard.press("Enter")
    for key in ("ArrowUp", "Shift+ArrowUp", "Enter"):
        page.keyboard.press(key)
    after = saved(page, tmp_path / "with_a_tree")
    assert [r.residual_m for r in after.tape_report.readings] == pytest.approx(residuals, abs=1e-3)  # given points are told to the millimetre
    assert after.tape_report.doubtful.name == before.tape_report.doubtful.name and after.tape_report.spare_tapes == before.tape_report.spare_tapes
    tree = next(f for f in drawing(page)["features"] if f["role"] == "tree")["points"][0]
    drawn_lot, (corner, *_) = lot(page)["points"], after.lot.exterior.coords
    assert sorted(math.dist(tree, p) for p in drawn_lot) == pytest.approx(sorted(math.dist(after.trees[0].at_m, p) for p in after.lot.exterior.coords[:-1]), abs=0.003)
    if before.origin_lon_lat is not None:
        assert to_metres(to_lon_lat([corner], after.origin_lon_lat), before.origin_lon_lat)[0] == pytest.approx(before.lot.exterior.coords[0], abs=0.005)

    page.click("text=About the lot")
    page.click("text=North is not up on this drawing")
    page.get_by_label("A compass held").fill("30")
    page.keyboard.press("Tab")
    page.click("text=Turn the drawing")
    turned = saved(page, tmp_path / "turned")
    assert [r.residual_m for r in turned.tape_report.readings] == pytest.approx(residuals, abs=1e-3)  # given points are told to the millimetre
    (ax, ay), (bx, by) = turned.lot.exterior.coords[:2]
    (cx, cy), (dx, dy) = before.lot.exterior.coords[:2]
    assert (math.degrees(math.atan2(bx - ax, by - ay) - math.atan2(dx - cx, dy - cy)) - 30 + 180) % 360 == pytest.approx(180, abs=0.01)

    nudge(page, "north post", "Shift+ArrowRight")
    page.wait_for_selector(".survey .warn >> text=do not go with this drawing")
    assert not getattr(saved(page, tmp_path / "moved").tape_report, "readings", ())
    page.click("text=Undo")
    page.wait_for_selector(".survey >> text=Your 27 tapes")
    assert len(saved(page, tmp_path / "back").tape_report.readings) == len(residuals)


def test_given_points_named_by_numbers_keep_their_order(open_page, tmp_path):
    """The first two are the base line, and left of it is right of it the other way round: 10 and 2 are not sorted."""
    path = tmp_path / "numbers.toml"
    path.write_text(
        '[site]\nname = "n"\nheight_limit_m = 8\nitu_region = 1\ncurrency = "EUR"\n[points]\n10 = [12, 0]\n2 = [0, 0]\n'
        + "".join(f'[[tape]]\nfrom = "{a}"\nto = "3"\nm = {m}\nside = "left"\n' for a, m in (("10", 13), ("2", 5)))
        + '[[feature]]\nrole = "lot"\npoints = ["10", "2", "3"]\n'
    )
    before = read_site(path)
    page = open_page("#/lot/new/empty")
    opened(page, path)
    after = saved(page, tmp_path / "after")
    assert after.tape_report.given == ("10", "2") and after.lot.symmetric_difference(before.lot).area == pytest.approx(0.0, abs=0.01)


def test_what_was_taped_and_is_gone_leaves_the_other_tapes_alone(open_page, tmp_path):
    page = open_page("#/lot/new/empty")
    opened(page, YARD)
    nudge(page, "north post", "Delete")
    assert "Your 27 tapes" in page.inner_text(".survey")
    assert len(saved(page, tmp_path / "gone").tape_report.readings) == 27


def test_the_lot_that_goes_to_the_search_has_its_tapes(open_page):
    page = open_page("#/lot/new/empty")
    opened(page, YARD)
    page.click("text=Next: your wishes")
    page.wait_for_url("**/#/wish/*")
    site = page.evaluate("id => fetch(`/api/sites/${id}`).then((r) => r.json())", page.url.split("/")[-1])
    told = {r["name"]: r["residual_m"] for r in site["drawing"]["tape"]["readings"]}
    assert told == {r.name: pytest.approx(r.residual_m, abs=1e-4) for r in read_site(YARD).tape_report.readings}


def test_holes_are_no_ground_of_the_lot(open_page, tmp_path):
    """The area is told less the hole, as the service has it; the hole is barred."""
    step = [[5.0, 50.0], [5.0004, 50.0], [5.0004, 50.0004], [5.0, 50.0004]]
    inner = [[5.0001, 50.0001], [5.0002, 50.0001], [5.0002, 50.0002], [5.0001, 50.0002]]
    rings = [[*r, r[0]] for r in (step, inner)]
    source = tmp_path / "holed.geojson"
    site = {"name": "Holed", "height_limit_m": 8, "itu_region": 1, "currency": "EUR"}
    source.write_text(json.dumps({"type": "FeatureCollection", "site": site, "features": [feature("lot", ("Polygon", rings))]}))
    page = open_page("#/lot/new/empty")
    page.set_input_files("input[type=file]", source)
    page.wait_for_selector(".not-yours", state="attached")
    told = float(re.search(r"Lot ([\d.]+) m²", page.inner_text(".facts"))[1])
    assert told == pytest.approx(read_site(source).lot.area, abs=0.2)


def test_on_a_phone_open_folds_do_not_scroll_sideways(open_page):
    page = open_page("#/lot/new/empty", width=390)
    opened(page, YARD)
    for words in ("About the lot", "Measured with a tape", "Set something by numbers"):
        page.click(f"text={words}")
    page.wait_for_selector(".tapes select")
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


@pytest.mark.parametrize(("side_m", "close"), [(100, True), (20, False)])
def test_a_small_plan_shows_wires_that_take_little_of_the_lot_close_up(open_page, side_m, close):
    """A wire of 9 m: on a lot of 100 m it would be a speck; beside it stands the whole lot with a frame."""
    page = open_page("")
    lot_ring = [[0, 0], [side_m, 0], [side_m, side_m], [0, side_m]]
    place = {"features": [{"role": "lot", "name": "lot", "rings_m": [lot_ring, [[1, 1], [2, 1], [2, 2], [1, 2]]]}]}
    wires = [{"role": "radiator", "points_m": [[5, 5, 4], [14, 5, 4]]}]
    page.evaluate(
        "([place, wires]) => import('/static/run/thumb.js').then((m) => { const t = m.thumb(place, wires, 'a wire'); t.id = 'there'; document.querySelector('main').append(t); })",
        [place, wires],
    )
    page.wait_for_selector("#there .wire", state="attached")
    whole, wire = (page.locator(f"#there{css}").bounding_box() for css in ("", " .wire"))
    assert (page.locator("#there .shown-part").count() == 1) == close
    assert wire["width"] / whole["width"] > 0.3
    assert whole["x"] < wire["x"] and wire["x"] + wire["width"] < whole["x"] + (0.7 if close else 1.0) * whole["width"]
    assert page.locator("#there .not-yours").count() == (2 if close else 1)


def test_a_fault_of_the_service_stands_at_its_feature(open_page):
    page = open_page("#/lot/new/example")
    page.click("[data-feature] >> text=apple tree")
    page.fill("[data-key=holds_wire_at_m]", "9")
    page.keyboard.press("Tab")
    page.wait_for_selector(".faults >> text=apple tree")
    assert page.locator(".flag").count() == 1


@pytest.mark.parametrize("width", [1400, 1920])
def test_the_page_does_not_scroll_sideways_and_hides_no_tab_stop(open_page, tab_to, width):
    page = open_page("#/lot/new/empty", width=width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    tab_to(page, ".starts > button:last-of-type")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.dataset.tool") == ""  # the first tool


def test_a_rectangle_is_dragged(open_page):
    page = open_page("#/lot/new/empty")
    page.click("[data-tool=lot]")
    page.mouse.move(*board_point(page, 0.2, 0.2))
    page.mouse.down()
    page.mouse.move(*board_point(page, 0.6, 0.7), steps=4)
    page.mouse.up()
    points = lot(page)["points"]
    (west, south), (east, north) = (min(p[i] for p in points) for i in (0, 1)), (max(p[i] for p in points) for i in (0, 1))
    assert shoelace_m2(points) == pytest.approx((east - west) * (north - south))


def test_fingers_draw_on_a_phone(open_page):
    page = open_page("#/lot/new/empty", phone=True)
    page.tap("[data-tool=lot]")
    for place in ((0.2, 0.2), (0.8, 0.2), (0.8, 0.8)):
        page.touchscreen.tap(*board_point(page, *place))
    page.tap(".finish")
    assert len(lot(page)["points"]) == 3
    page.tap("[data-tool=radio]")
    page.touchscreen.tap(*board_point(page, 0.7, 0.4))
    assert [f["role"] for f in drawing(page)["features"]] == ["lot", "radio"]
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
