"""What a plan says of pours whose rise has no answer: once, with all their names."""

from types import SimpleNamespace

from pourwright.findings import Code, finding
from pourwright.plan.review import _rise_found
from pourwright.wording.findings import sentence


def test_pours_without_a_computed_rise_are_named_together():
    """Not one sentence a pour, and nothing about having followed it, which was not always tried."""
    pours = [SimpleNamespace(name=name, closes=False, volume_m3=1.0) for name in ("1a", "1b", "2a")]
    lifts = [SimpleNamespace(pours=pours[:2]), SimpleNamespace(pours=pours[2:])]
    (found,) = _rise_found(SimpleNamespace(lifts=lifts, rises={}))
    assert found == finding(Code.NO_RISE, "1a", "1b", "2a")
    said = sentence(found)
    assert said == "No rise could be computed for pours 1a, 1b, 2a; the pressure there is the formula's."
    (found,) = _rise_found(SimpleNamespace(lifts=lifts[1:], rises={}))
    assert sentence(found).startswith("No rise could be computed for pour 2a;")
