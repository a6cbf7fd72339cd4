"""Where people may be: reference levels of E and H for the public, and the power that counts.

    ICNIRP 2020 (whole body, averaged over 30 min)   E = 300/f^0.7 V/m, H = 2.2/f A/m          0.1 to 30 MHz
                                                     E = 27.7 V/m, H = 0.073 A/m               30 to 400 MHz
    ICNIRP 1998 (EU 1999/519/EC; 6 min)              E = 87/sqrt(f), H = 0.73/f                1 to 10 MHz
                                                     E = 28 V/m, H = 0.073 A/m                 10 to 400 MHz
    FCC 1.1310 general population (30 min)           E = 824/f, H = 2.19/f, S = 180/f^2        1.34 to 30 MHz
                                                     E = 27.5 V/m, H = 0.073 A/m               30 to 300 MHz

f in MHz, fields rms. Below 30 MHz E and H are both checked, whatever the distance. Fields go with the root of power: the
measure is the larger of E/E_level and H/H_level, and power may grow by its inverse square. Valid 1.8 to 54 MHz.
Sources: ICNIRP, Health Physics 118 (2020) 483, Table 5; ICNIRP, Health Physics 74 (1998) 494, Table 7 (from memory);
47 CFR 1.1310 Table 1; OET Bulletin 65 (1997) and its Supplement B for duty factors and the far field over ground.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .constants import TWO_PI

WATTS_PER_M2_PER_MW_PER_CM2 = 10.0
GROUND_FIELD_FACTOR = 1.6  # OET Bulletin 65, equation (6)

# duty factors of OET 65 Supplement B; the weak-signal data mode by practice (full carrier while it sends)
MODE_DUTY = {"voice": 0.2, "morse": 0.4, "digital": 1.0, "carrier": 1.0}


@dataclass(frozen=True, kw_only=True)
class Rule:
    """A set of reference levels: rows (up to f in MHz, E factor, E exponent, H factor, H exponent)."""

    key: str
    title: str
    averaging_s: float
    from_mhz: float
    rows: tuple[tuple[float, float, float, float, float], ...]

    def levels(self, freq_hz):
        """E [V/m] and H [A/m] rms, shape of `freq_hz`; NaN outside the rule's range."""
        mhz = np.asarray(freq_hz, float) / 1e6
        e, h = np.full(mhz.shape, np.nan), np.full(mhz.shape, np.nan)
        low = self.from_mhz
        for top, e_factor, e_power, h_factor, h_power in self.rows:
            inside = (mhz >= low) & (mhz <= top) & np.isnan(e)
            e = np.where(inside, e_factor * mhz**e_power, e)
            h = np.where(inside, h_factor * mhz**h_power, h)
            low = top
        return e, h


RULES = {
    rule.key: rule
    for rule in (
        Rule(key="icnirp_2020", title="ICNIRP 2020, general public, whole body", averaging_s=1800.0, from_mhz=0.1,
             rows=((30.0, 300.0, -0.7, 2.2, -1.0), (400.0, 27.7, 0.0, 0.073, 0.0))),
        Rule(key="icnirp_2020_occupational", title="ICNIRP 2020, occupational, whole body", averaging_s=1800.0, from_mhz=0.1,
             rows=((30.0, 660.0, -0.7, 4.9, -1.0), (400.0, 61.0, 0.0, 0.16, 0.0))),
        Rule(key="icnirp_2020_local", title="ICNIRP 2020, general public, local", averaging_s=360.0, from_mhz=0.1,
             rows=((30.0, 671.0, -0.7, 4.9, -1.0), (400.0, 62.0, 0.0, 0.163, 0.0))),
        Rule(key="icnirp_2020_local_occupational", title="ICNIRP 2020, occupational, local", averaging_s=360.0, from_mhz=0.1,
             rows=((30.0, 1504.0, -0.7, 10.8, -1.0), (400.0, 139.0, 0.0, 0.36, 0.0))),
        Rule(key="icnirp_1998", title="ICNIRP 1998, general public (EU 1999/519/EC)", averaging_s=360.0, from_mhz=1.0,
             rows=((10.0, 87.0, -0.5, 0.73, -1.0), (400.0, 28.0, 0.0, 0.073, 0.0))),
        Rule(key="fcc", title="47 CFR 1.1310, general population", averaging_s=1800.0, from_mhz=1.34,
             rows=((30.0, 824.0, -1.0, 2.19, -1.0), (300.0, 27.5, 0.0, 0.073, 0.0))),
        Rule(key="fcc_occupational", title="47 CFR 1.1310, occupational", averaging_s=360.0, from_mhz=0.3,
             rows=((3.0, 614.0, 0.0, 1.63, 0.0), (30.0, 1842.0, -1.0, 4.89, -1.0), (300.0, 61.4, 0.0, 0.163, 0.0))),
    )
}  # fmt: skip

# Country → rule for the public. Where no country is given, the 2020 guideline; states change their rules: check.
COUNTRY_RULES = {"US": "fcc"}
for _country in ["AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"]:
    COUNTRY_RULES[_country] = "icnirp_1998"
EQUIVALENT_NAMES = {"USA": "US", "UNITED STATES": "US"}


def rule_for(country: str | None) -> Rule:
    """The public's rule in a country (two letters); ICNIRP 2020 where none is listed."""
    word = (country or "").strip().upper()
    return RULES[COUNTRY_RULES.get(EQUIVALENT_NAMES.get(word, word), "icnirp_2020")]


def plane_wave_limit_w_per_m2(freq_hz, rule: Rule):
    """Power density equal to the rule's E and H together, S = E H [W/m2]."""
    e, h = rule.levels(freq_hz)
    return e * h


def fcc_power_density_mw_per_cm2(freq_hz, *, occupational: bool = False):
    """The power density column of 47 CFR 1.1310 Table 1 [mW/cm2], 1.34 to 300 MHz."""
    mhz = np.asarray(freq_hz, float) / 1e6
    if occupational:
        return np.where(mhz <= 3.0, 100.0, np.where(mhz <= 30.0, 900.0 / mhz**2, 1.0))
    return np.where(mhz <= 30.0, 180.0 / mhz**2, 0.2)


def average_power_w(peak_w: float, mode_duty: float, transmit_share: float) -> float:
    """Power averaged over the rule's time: peak envelope power × mode duty × share of it spent sending."""
    return peak_w * mode_duty * transmit_share


def exposure_ratio(freq_hz, e_v_per_m, h_a_per_m, rule: Rule):
    """Largest of E and H over their levels, fields at average power; above 1 exceeds. Broadcasts."""
    e_level, h_level = rule.levels(freq_hz)
    return np.maximum(np.asarray(e_v_per_m) / e_level, np.asarray(h_a_per_m) / h_level)


def power_allowed_w(freq_hz, e_v_per_m, h_a_per_m, power_w: float, rule: Rule):
    """Average power that just meets the level where `power_w` gives those fields [W]."""
    return power_w / exposure_ratio(freq_hz, e_v_per_m, h_a_per_m, rule) ** 2


def peak_power_allowed_w(freq_hz, e_v_per_m, h_a_per_m, power_w: float, rule: Rule, *, mode_duty: float, transmit_share: float):
    """Peak envelope power for the "at most N W" of a relaxation [W]; fields given at a steady `power_w`."""
    return power_allowed_w(freq_hz, e_v_per_m, h_a_per_m, power_w, rule) / (mode_duty * transmit_share)


# Far-field estimates: for orientation and for checks only, near a wire the solved field decides -------------------------


def gain_of_dbi(gain_dbi: float) -> float:
    return 10.0 ** (gain_dbi / 10.0)


def distance_by_power_density_m(power_w: float, gain_dbi: float, limit_w_per_m2: float, reflection: float = GROUND_FIELD_FACTOR**2):
    """Where a main lobe has fallen to the limit: sqrt(F P G / 4 pi S) [m]."""
    return np.sqrt(reflection * power_w * gain_of_dbi(gain_dbi) / (2.0 * TWO_PI * limit_w_per_m2))


def distance_by_field_m(power_w: float, gain_dbi: float, limit_v_per_m: float, field_factor: float = GROUND_FIELD_FACTOR):
    """k sqrt(30 P G) / E [m]."""
    return field_factor * math.sqrt(30.0 * power_w * gain_of_dbi(gain_dbi)) / limit_v_per_m


def fcc_exempt_erp_w(freq_hz: float, distance_m: float) -> float:
    """Radiated power below which the FCC asks for no evaluation, beyond wavelength/2 pi; 1.34 to 300 MHz [W ERP]."""
    mhz = freq_hz / 1e6
    return 3450.0 * distance_m**2 / mhz**2 if mhz < 30.0 else 3.83 * distance_m**2


OFCOM_THRESHOLD_EIRP_W = 10.0  # General Notice, 18 May 2021: licence classes above this are asked to comply


def erp_of_eirp_w(eirp_w: float) -> float:
    """Power over a half-wave dipole instead of over an isotropic source: less 2.15 dB [W]."""
    return eirp_w / gain_of_dbi(2.15)
