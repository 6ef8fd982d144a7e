"""Three publications of a register's sound, of which the level that we tell holds all.

- Table of air speeds through free openings by noise criterion, as in ``data/noise.csv`` (read) and
  in ASHRAE Handbook HVAC Applications 2015, chapter 48 (memory).
- CIBSE Guide B 2005, appendix 5.A2.5, as the help of an acoustics program prints it (read): sound
  power of the peak octave 10 + 10 lg A + 30 lg dp in m2 and Pa, the peak at 160 Hz for each m/s,
  3 dB less for each octave below and 5 dB above.
- Reynolds and Bledsoe, Algorithms for HVAC Acoustics, ASHRAE 1991 (memory), as the virtual houses
  have it.

Sound power becomes pressure in a furnished room by Schultz's equation (ASHRAE; memory), and the
curve that it touches is Beranek's (memory); both are those of the virtual houses.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.effects import noise
from inchwater.effects.data_rows import value
from inchwater.parts import terminals
from inchwater.rehearsal.felt_true import BANDS, bands, noise_criterion, room_level, sound_power
from inchwater.units import to_si

# Side; kind; face [in]; airflow [cfm]: usual ones of a house.
OPENINGS = [
    ("supply", "register-stamped", (10.0, 6.0), 80.0),
    ("supply", "register-stamped", (12.0, 6.0), 120.0),
    ("supply", "register-floor", (10.0, 4.0), 70.0),
    ("return", "grille-stamped", (20.0, 20.0), 900.0),
    ("return", "grille-bar", (30.0, 14.0), 700.0),
]


def cibse(area: float, drop: float, speed: float) -> float:
    """NC in the room by CIBSE's law of gross area [m2], drop [Pa] and speed [m/s]."""
    peak = 10.0 + 10.0 * np.log10(area) + 30.0 * np.log10(drop)
    octaves = np.log2(np.array(BANDS) / (160.0 * speed))
    power = np.where(octaves < 0.0, peak + 3.0 * octaves, peak - 5.0 * octaves)
    return float(noise_criterion(room_level(power[None, :]))[0])


def ashrae(area: float, loss: float, speed: float) -> float:
    """NC in the room by Reynolds and Bledsoe of gross area [m2], loss [-] and speed [m/s]."""
    face, kind, at = np.array([area]), np.array([loss]), np.array([speed])
    return float(noise_criterion(room_level(bands(sound_power(face, kind, at), at)))[0])


@pytest.mark.parametrize(("side", "kind", "face", "airflow"), OPENINGS)
def test_the_level_that_is_told_holds_every_publication(side, kind, face, airflow):
    """Before how the air comes to it: the table, and two laws of sound power 25 to 45 NC below."""
    terminal = (terminals.register if side == "supply" else terminals.grille)(kind)
    area = to_si(face[0], "in") * to_si(face[1], "in")
    speed = to_si(airflow, "cfm") / area
    table = float(noise.criterion(speed / terminal.free_area_ratio, side))
    drop = terminal.loss_coefficient * 0.6 * speed**2
    laws = [cibse(area, drop, speed), ashrae(area, terminal.loss_coefficient, speed)]
    assert all(20.0 < table - one < 48.0 for one in laws)
    middle = table + value("noise", f"law {side}")
    reach = 1.645 * value("noise", "law sigma")
    for one in (table, *laws):
        assert middle - reach - 3.0 < one < middle + reach + 3.0
    # Half way between them, not at any one's side.
    assert abs(middle - np.mean([table, np.mean(laws)])) < 4.0


def test_a_bend_of_flex_before_an_outlet():
    """About 5 NC more than rated; 12 to 15 dB at the worst.

    ASHRAE research project on installation effects (University of Nevada, Las Vegas), by a summary;
    ASHRAE Handbook HVAC Applications, sound and vibration control, for the worst (memory).
    """
    sigma = value("noise", "approach sigma_ln")
    drawn = np.random.default_rng(1).standard_normal(200_000)
    louder = value("noise", "approach") * np.exp(sigma * drawn - 0.5 * sigma**2)
    assert np.mean(louder) == pytest.approx(5.0, abs=0.1)
    assert 11.0 < np.quantile(louder, 0.95) < 15.0
