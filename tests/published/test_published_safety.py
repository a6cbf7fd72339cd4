"""Rows of area 6-SAFE through the exposure module and the caution texts. Sources stand in safety.csv, row by row."""

import math
import re

import numpy as np
import pytest
from rows import after, before, numbers, percent, rows

from optimizer.parts.cautions import BY_STEP, CAUTIONS
from optimizer.physics import exposure as x
from optimizer.site.model import OverheadLine

PRINTED = 1e-5


def mhz_of(row):
    return before("MHz", row["conditions"]) * 1e6


def level(rule, part):
    def check(row):
        assert float(x.RULES[rule].levels(mhz_of(row))[part]) == pytest.approx(float(row["expected"]), rel=percent(row))

    return check


def icnirp_1998(row):
    wanted = [float(v) for v in row["expected"].split(";")]
    assert [float(v) for v in x.RULES["icnirp_1998"].levels(mhz_of(row))] == pytest.approx(wanted, rel=percent(row))


def fcc(rule, occupational):
    def check(row):
        freq = mhz_of(row)
        found = [*x.RULES[rule].levels(freq), x.fcc_power_density_mw_per_cm2(freq, occupational=occupational)]
        assert [float(v) for v in found] == pytest.approx([float(v) for v in row["expected"].split(";")], rel=percent(row))

    return check


def local(rule):
    def check(row):
        factor, power = re.match(r"(\d+)/f\^([\d.]+)", row["expected"]).groups()
        for mhz in (0.1, 1.9, 14.15, 29.7):
            assert float(x.RULES[rule].levels(mhz * 1e6)[0]) == pytest.approx(float(factor) / mhz ** float(power), rel=1e-12)

    return check


def both_fields(row):
    """Either field alone over its level makes the ratio exceed 1, near or far."""
    rule = x.rule_for(None)
    e, h = (float(v) for v in rule.levels(7.1e6))
    assert float(x.exposure_ratio(7.1e6, 1.2 * e, 0.01 * h, rule)) == pytest.approx(1.2)
    assert float(x.exposure_ratio(7.1e6, 0.01 * e, 1.3 * h, rule)) == pytest.approx(1.3)


def averaging(rule):
    def check(row):
        assert x.RULES[rule].averaging_s == float(row["expected"]) * 60.0

    return check


def duty(mode):
    def check(row):
        assert x.MODE_DUTY[mode] == pytest.approx(numbers(row["expected"])[0] / 100.0, rel=1e-12)

    return check


def average_power(row):
    peak, factor = before("W PEP", row["conditions"]), after("factor", row["conditions"])
    keyed, whole = re.search(r"(\d+) of (\d+) s", row["conditions"]).groups()
    assert x.average_power_w(peak, factor, float(keyed) / float(whole)) == pytest.approx(float(row["expected"]), rel=1e-12)


def reflection_factor(row):
    """Over ground the field grows by a factor, so the distance at constant power density grows by it."""
    factor = numbers(row["conditions"])[0]
    free, over = (x.distance_by_power_density_m(100.0, 2.15, 10.0, reflection=r) for r in (1.0, factor**2))
    assert (over / free) ** 2 == pytest.approx(float(row["expected"]), rel=1e-12)
    assert factor in (x.GROUND_FIELD_FACTOR, 2.0)


def far_fcc(row):
    text = row["conditions"]
    limit = float(x.fcc_power_density_mw_per_cm2(mhz_of(row))) * x.WATTS_PER_M2_PER_MW_PER_CM2
    found = x.distance_by_power_density_m(before("W average", text), before("dBi", text), limit, after("reflection factor", text))
    assert found == pytest.approx(float(row["expected"]), rel=percent(row))


def far_icnirp(row):
    text = row["conditions"]
    e = float(x.RULES["icnirp_2020"].levels(mhz_of(row))[0])
    found = x.distance_by_field_m(before("W average", text), before("dBi", text), e, after("field factor", text))
    assert found == pytest.approx(float(row["expected"]), rel=percent(row))


def ofcom(row):
    eirp, erp = numbers(row["expected"])
    assert x.OFCOM_THRESHOLD_EIRP_W == eirp
    assert x.erp_of_eirp_w(eirp) == pytest.approx(erp, abs=0.05)


def exempt(row):
    factor = numbers(row["expected"])[0]
    for mhz, r in ((7.1, 12.0), (28.5, 4.0)) if "f^2" in row["expected"] else ((50.0, 5.0),):
        wanted = factor * r**2 / (mhz**2 if "f^2" in row["expected"] else 1.0)
        assert x.fcc_exempt_erp_w(mhz * 1e6, r) == pytest.approx(wanted, rel=1e-12)


def approach(row):
    """The unqualified person's distance stands in the caution, and the site's default is no less in whole metres."""
    metres = float(row["expected"].split("=")[1].split()[0])
    assert f"{metres} m" in CAUTIONS["overhead_lines"]
    assert OverheadLine(name="", path=None, height_m=8.0).clearance_m >= math.floor(metres)


def says(key, *words):
    def check(row):
        assert all(word in CAUTIONS[key] for word in words)

    return check


CHECKS = {
    "ICNIRP 2020 general public E reference level (whole body)": level("icnirp_2020", 0),
    "ICNIRP 2020 general public H reference level (whole body)": level("icnirp_2020", 1),
    "ICNIRP 2020 occupational E reference level (whole body)": level("icnirp_2020_occupational", 0),
    "ICNIRP 2020 occupational H reference level (whole body)": level("icnirp_2020_occupational", 1),
    "ICNIRP 1998 general public E / H reference level": icnirp_1998,
    "FCC general population MPE E / H / S": fcc("fcc", False),
    "FCC occupational/controlled MPE E / H / S": fcc("fcc_occupational", True),
    "ICNIRP 2020 local general public E, 0.1-30 MHz, 6 min": local("icnirp_2020_local"),
    "ICNIRP 2020 local occupational E": local("icnirp_2020_local_occupational"),
    "below 30 MHz both E and H must be checked regardless of zone (ICNIRP 2020)": both_fields,
    "averaging time, FCC general population": averaging("fcc"),
    "averaging time, FCC occupational": averaging("fcc_occupational"),
    "averaging time, ICNIRP 1998 100 kHz-10 GHz": averaging("icnirp_1998"),
    "duty factor conversational SSB, no processing": duty("voice"),
    "duty factor CW conversational": duty("morse"),
    "duty factor FSK/RTTY": duty("digital"),
    "duty factor carrier (tune-up)": duty("carrier"),
    "duty factor FT8-type weak-signal data": duty("digital"),
    "average power worked example": average_power,
    "ground-reflection factor on power density (OET 65)": reflection_factor,
    "ground-reflection factor, worst case doubling of field": reflection_factor,
    "FCC general-population far-field distance": far_fcc,
    "ICNIRP 2020 general-public distance from E, far-field formula": far_icnirp,
    "Ofcom EMF condition threshold": ofcom,
    "FCC MPE-based exemption ERP threshold (R>=wl/2pi)": exempt,
    "minimum approach to overhead power lines up to 50 kV (OSHA, unqualified persons)": approach,
    "common advice: distance from mast/antenna base to power line": says("overhead_lines", "full length", "10 ft", "never above or below"),
    "US National Electrical Code, article 810: antenna conductors crossing electric light/power conductors": says("code_us", "not cross over", "600 mm"),
    "US National Electrical Code, table 810.52 transmit wire, span <45 m (150 ft), hard-drawn copper": says("code_us", "14 AWG"),
    "US National Electrical Code, table 810.52 span >45 m, hard-drawn copper": says("code_us", "10 AWG above 45 m"),
    "US National Electrical Code 810.54 clearance of transmit conductors from building surface": says("code_us", "75 mm"),
    "US National Electrical Code 810.58 operating grounding conductor": says("code_us", "operating grounding conductor 14 AWG", "protective one 10 AWG"),
    "UK: PME supplies - exporting earth to outdoor aerial systems is a recognised hazard; take advice (RSGB EMC leaflet 07)": says(
        "earthing", "PME", "qualified advice"
    ),
}


@pytest.mark.parametrize("row", rows("safety"))
def test_safety(row):
    CHECKS[row["quantity"]](row)


def test_power_allowed_puts_the_worse_field_on_its_level():
    """By hand: fields go with the root of power, so a ratio of 2 allows a quarter."""
    rule = x.RULES["fcc"]
    e, h = (float(v) for v in rule.levels(14.15e6))
    assert float(x.power_allowed_w(14.15e6, 2 * e, h, 100.0, rule)) == pytest.approx(25.0)
    allowed = x.peak_power_allowed_w(14.15e6, 2 * e, h, 100.0, rule, mode_duty=0.4, transmit_share=0.5)
    assert float(allowed) == pytest.approx(125.0)


def test_levels_outside_the_rule_are_not_numbers():
    assert np.isnan(x.RULES["fcc"].levels(1e6)).all()


def test_country_decides_the_rule():
    """United States: 47 CFR 1.1310. European Union: recommendation 1999/519/EC. Elsewhere: ICNIRP 2020."""
    assert [x.rule_for(c).key for c in ("US", "us", "DE", "GB", None)] == ["fcc", "fcc", "icnirp_1998", "icnirp_2020", "icnirp_2020"]


def test_every_step_names_texts_that_exist():
    assert all(key in CAUTIONS for keys in BY_STEP.values() for key in keys)
