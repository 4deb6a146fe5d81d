"""Items, anchors, slings, stand and boat: read in any unit, and every contradiction names its key."""

import math

import pytest

from pourwright.errors import JobError
from pourwright.intake import read_job

HANG = '\n[hang]\nout = "-y"\nup = "+z"\n'
ANCHOR = '\n[[anchor]]\nname = "A1"\nat = ["1 in", "0 mm", "0.5 m"]\nshear = "1000 lbf"\npull = "4 kN"\n'
INSERT = 'insert = { diameter = "30 mm", depth = "1 m", head = "20 mm" }\n'


@pytest.fixture
def read(job_file):
    def make(text):
        path = job_file()
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
        return read_job(path).site

    return make


def test_a_job_without_them_has_an_empty_site(read):
    site = read("")
    assert site.anchors == site.items == site.legs == ()
    assert site.hang is site.boat is None


def test_anchors_in_metres_and_newtons(read):
    site = read(HANG + 'standoff = "30 mm"\nfactor_value = 4\nfactor_reference = "x"\n' + ANCHOR)
    (anchor,) = site.anchors
    assert anchor.spot.at_m == pytest.approx((0.0254, 0.0, 0.5))
    assert anchor.shear_n == pytest.approx(4448.2, rel=1e-4)
    assert anchor.breaking
    assert (site.hang.standoff_m, site.hang.factor_value) == (0.03, 4.0)


def test_measured_anchor_with_an_insert(read):
    table = (
        '\n[[anchor]]\nname = "A1"\nfrom_right = "6 in"\nfrom_top = "1 ft"\nrating = "working"\n'
        'insert = { diameter = "30 mm", depth = "120 mm", head = "60 mm" }\n'
    )
    (anchor,) = read(HANG + table).anchors
    assert (anchor.spot.from_right_m, anchor.spot.from_top_m) == pytest.approx((0.1524, 0.3048))
    assert not anchor.breaking
    assert anchor.insert.head_m == 0.06


def test_items_coating_and_slings(read):
    site = read(
        '\n[[item]]\nname = "paint"\nper_area = "1 lb/ft^2"\nspread = "20 %"\n'
        '\n[[item]]\nname = "bolt"\nweight = "2 lb"\nfrom_left = "1 m"\nfrom_back = "1 m"\nfrom_base = "1 m"\n'
        'when = "before"\ndensity = "7850 kg/m^3"\n'
        '\n[hook]\nabove = "4 ft"\n\n[[sling]]\nname = "l"\nat = ["0 mm", "0 mm", "0 mm"]\nload = "500 kN"\n'
        "\n[stand]\nslope = 3.0\n"
    )
    paint, bolt = site.items
    assert paint.coating
    assert paint.kg.nominal == pytest.approx(4.8824, rel=1e-4)
    assert paint.kg.high == pytest.approx(1.2 * paint.kg.nominal)
    assert not bolt.finished
    assert bolt.kg.nominal == pytest.approx(0.907185, rel=1e-5)
    assert site.hook.above_m == pytest.approx(1.2192)
    assert not site.legs[0].breaking
    assert site.stand.slope_rad == pytest.approx(math.radians(3))


def test_a_boat(read):
    boat = read('\n[boat]\npersons = "700 lb"\ncapacity = "1000 lb"\nuptake = "3 %"\nbow = "-x"\n').boat
    assert boat.persons_kg == pytest.approx(317.5, rel=1e-3)
    assert boat.uptake == pytest.approx(0.03)
    assert boat.bow == (-1.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        (ANCHOR, "hang.out", "which way the wall faces"),
        (HANG + ANCHOR + ANCHOR, "anchor.name", "stands twice"),
        (HANG + '\n[[anchor]]\nname = "A1"\nfrom_left = "1 m"\n', "anchor[1].at", "from_base or from_top is missing"),
        (HANG + ANCHOR + 'from_left = "1 m"\n', "anchor[1].from_left", "either at or measures"),
        (
            HANG + '\n[[anchor]]\nname = "A"\nfrom_left = "1 m"\nfrom_right = "1 m"\nfrom_base = "1 m"\n',
            "anchor[1].from_right",
            "one of the two",
        ),
        (HANG + ANCHOR.replace("4 kN", "4 kg"), "anchor[1].pull", "not a unit of force"),
        (HANG + ANCHOR.replace('"1 in"', "1"), "anchor[1].at", "a length"),
        (HANG + ANCHOR + INSERT, "anchor[1].insert.head", "wider"),
        ('\n[hang]\nout = "+z"\nup = "+z"\n', "hang.up", "floor or a ceiling"),
        (HANG + "factor_value = 4\n", "hang.factor_reference", "only with its source"),
        (HANG + 'factor = "rigging"\n', "hang.factor", "hangs for good"),
        ('\n[hook]\nfactor_value = 4\nfactor_reference = "x"\nfactor = "rigging"\n', "hook.factor_value", "not both"),
        (HANG + 'factor = "lucky"\n', "hang.factor", "lifting-device-a"),
        ('\n[[item]]\nname = "x"\n', "item[1].weight", "weight for hardware or per_area"),
        ('\n[[item]]\nname = "x"\nweight = "1 kg"\nfrom_left = "1 m"\n', "item[1].at", "from_front or from_back"),
        ('\n[hook]\nabove = "1 m"\nat = ["0 m", "0 m", "1 m"]\n', "hook.above", "not both"),
        ('\n[boat]\npersons = "200 kg"\ncapacity = "100 kg"\n', "boat.capacity", "cannot be below"),
        ('\n[[sling]]\nname = "a"\nat = ["1 m", "2 m"]\n', "sling[1].at", "three lengths"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named(read, text, key, says):
    with pytest.raises(JobError) as caught:
        read(text)
    assert caught.value.key == key
    assert says in str(caught.value)
