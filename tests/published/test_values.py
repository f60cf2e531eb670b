"""The value scale against the published standards.

ASTM D1535: standard practice for specifying color by the Munsell system, luminance of a value by a fifth-degree
polynomial. ISO/CIE 11664-4: CIE 1976 L*a*b*. IEC 61966-2-1: sRGB. The numbers were worked out apart from this project
with the colour-science library, version 0.4.7.
"""

from __future__ import annotations

import numpy as np
import pytest

from builder.light.value import (
    codes_of_luminance,
    lightness,
    luminance_of_codes,
    luminance_of_value,
    srgb_decode,
    srgb_encode,
    value_of_luminance,
)
from builder.plates.values import step_codes, step_edges

# value: luminance in percent (ASTM D1535), its L* (ISO/CIE 11664-4), its sRGB code unrounded and rounded
SCALE = {
    0: (0.0, 0.0, 0.0, 0),
    1: (1.17993, 10.408, 28.28, 28),
    2: (3.04812, 20.236, 48.80, 49),
    3: (6.39118, 30.379, 71.51, 72),
    4: (11.70075, 40.737, 96.01, 96),
    5: (19.27184, 51.004, 121.45, 121),
    6: (29.30115, 61.047, 147.29, 147),
    7: (41.98539, 70.861, 173.37, 173),
    8: (57.61963, 80.527, 199.79, 200),
    9: (76.69559, 90.181, 226.84, 227),
    10: (100.0, 100.0, 255.0, 255),
}


@pytest.mark.parametrize("value", SCALE)
def test_value_scale(value):
    """Luminance of each value to 0.0001 % and back to 1e-4; its L* to 0.001; its code to 0.01 and exactly rounded."""
    percent, star, unrounded, code = SCALE[value]
    luminance = luminance_of_value(value)
    assert luminance * 100 == pytest.approx(percent, abs=1e-4)
    assert value_of_luminance(percent / 100) == pytest.approx(value, abs=1e-4)
    assert lightness(luminance) == pytest.approx(star, abs=1e-3)
    assert srgb_encode(luminance) * 255 == pytest.approx(unrounded, abs=0.0051)
    assert codes_of_luminance(luminance) == code


def test_lightness_is_nearly_ten_times_value():
    """L* and ten times the value part by at most 1.0595, at value 5.67 (ASTM D1535 with ISO/CIE 11664-4)."""
    value = np.linspace(0, 10, 100_001)
    apart = np.abs(lightness(luminance_of_value(value)) - 10 * value)
    assert apart.max() == pytest.approx(1.0595, abs=1e-3)
    assert value[apart.argmax()] == pytest.approx(5.67, abs=0.01)


def test_photographers_grey():
    """18 % is L* 49.496, value 4.852, code 117.6: a middle grey."""
    assert lightness(0.18) == pytest.approx(49.496, abs=1e-3)
    assert value_of_luminance(0.18) == pytest.approx(4.852, abs=1e-3)
    assert srgb_encode(0.18) * 255 == pytest.approx(117.6, abs=0.05)


def test_code_128_is_not_the_middle():
    """Code 128 is 21.586 % and L* 53.585; L* 50 is nearest code 119, whose L* is 50.03."""
    assert luminance_of_codes(128) * 100 == pytest.approx(21.586, abs=1e-3)
    assert lightness(luminance_of_codes(128)) == pytest.approx(53.585, abs=1e-3)
    assert lightness(luminance_of_codes(119)) == pytest.approx(50.03, abs=5e-3)


def test_srgb_knee():
    """The curve is straight with a slope of 12.92 up to 0.0031308 linear, 0.04045 encoded (IEC 61966-2-1)."""
    assert srgb_encode(0.0031308) == pytest.approx(0.04045, abs=1e-6)
    assert srgb_decode(0.04045) == pytest.approx(0.0031308, abs=1e-6)
    assert srgb_encode(0.001) == pytest.approx(0.01292, abs=1e-12)
    assert srgb_encode(0.5) == pytest.approx(1.055 * 0.5 ** (1 / 2.4) - 0.055, abs=1e-12)


def test_eight_bits_hold_a_value_to_a_fortieth():
    """From value 1 to 9 rounding to 8 bits moves a value by at most 0.021, at code 72."""
    codes = np.arange(29, 227)
    edges = value_of_luminance(srgb_decode((codes + 0.5) / 255))
    assert np.abs(edges - value_of_luminance(luminance_of_codes(codes))).max() < 0.025
    assert value_of_luminance(luminance_of_codes(72)) == pytest.approx(3.0208, abs=1e-4)


THRESHOLDS = {2: [121], 3: [80, 165], 5: [49, 96, 147, 200], 9: [31, 54, 80, 107, 136, 165, 194, 224]}
CENTRES = {2: [60, 187], 3: [42, 121, 209], 5: [28, 72, 121, 173, 227], 9: [19, 42, 66, 93, 121, 150, 179, 209, 239]}


@pytest.mark.parametrize("steps", THRESHOLDS)
def test_thresholds_and_greys_of_the_value_studies(steps):
    """Bins of equal value (ASTM D1535) part at these codes and are painted in these (IEC 61966-2-1), exactly."""
    assert codes_of_luminance(step_edges(steps)).tolist() == THRESHOLDS[steps]
    assert step_codes(steps).tolist() == CENTRES[steps]


def test_three_steps_nest_in_nine_and_others_do_not():
    """Every threshold of 3 is one of 9; those of 2 and 5 are not, nor those of 2 among those of 5."""
    edges = {n: step_edges(n) for n in (2, 3, 5, 9)}

    def shared(few, many):
        return int(np.isclose(edges[few][:, None], edges[many], atol=1e-12).any(axis=1).sum())

    assert shared(3, 9) == 2
    assert shared(2, 9) == shared(5, 9) == shared(2, 5) == shared(2, 3) == shared(3, 5) == 0
