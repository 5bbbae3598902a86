"""Spoons, cups, jugs and packs of a written volume."""

from __future__ import annotations

from dataclasses import replace

from nutrilab.plain import brief
from nutrilab.remarks import Remark
from nutrilab.weighing.asked import ONE, Asked, Ground, Weight, result, span_of, times
from nutrilab.weighing.densities import both, forms_of, kind_density, own_density, spread, unlike
from nutrilab.weighing.pieces import sized
from nutrilab.weighing.span import Span
from nutrilab.weighing.units import VESSELS, dimension, millilitres
from nutrilab.weighing.written import metric_beside

JUG = 200.0  # [ml] the table's measures near this size tell best what a millilitre weighs: a cup, not a spoon
SPOONED, POURED = 0.08, 0.03  # how exact a spoon and a jug are at best [share to either side]


def by_volume(asked: Asked) -> Weight | None:
    """Spoons, cups, jugs and packs of a written volume; a second amount by volume beside a count."""
    line, count = asked.line, asked.count
    if count is not None and metric_beside(line, "volume"):
        assert line.other is not None
        return _poured(asked, span_of(line.other), line.other.unit)
    if count is not None and dimension(line.unit) == "volume":
        return _poured(asked, count, asked.unit)
    if line.pack and dimension(line.pack.unit) == "volume":
        found = _poured(asked, times(count or ONE, span_of(line.pack)), line.pack.unit)
        return replace(found, ground=Ground.PACK)
    if line.other and dimension(line.other.unit) == "volume" and (count is None or not line.unit):
        return _poured(asked, span_of(line.other), line.other.unit)
    return None


_LITRES = frozenset(("l", "dl", "cl"))
_SPOONS = frozenset(("tsp", "dsp", "tbsp", "spoon", "cup", "mug"))


def _poured(asked: Asked, count: Span, unit: str) -> Weight:
    """``count`` units of volume of the food in grams; half a litre is 500 ml, to the last gram."""
    if unit in _LITRES:
        count, unit = count.times(millilitres(unit)), "ml"
    size = millilitres(unit, asked.cup)
    spooned = unit in _SPOONS
    forms = forms_of((*asked.full, *_measured_so(asked)))
    nearest = size if spooned else JUG  # whatever the amount: 100 ml weigh twice what 50 ml do
    own = own_density(asked.measures, unit, nearest, forms) if asked.measures else None
    kind, known = kind_density(asked.order, _measured_so(asked), asked.kinds)
    kind = kind.within(SPOONED if spooned else POURED)
    remarks: tuple[Remark, ...] = ()
    if own and own.fitting and known and "@softherb" in asked.kinds:
        # A spoon of leaves depends on the cook more than on the herb.
        density, ground = both(own, kind, (own.grams * kind.grams) ** 0.5), Ground.OWN_DENSITY
    elif own and own.fitting and known and unlike(own, kind, asked.kinds):
        density, ground = both(own, kind, kind.grams), Ground.KIND_DENSITY
        remarks = (
            Remark("density-doubtful", f"the table's measure of {brief(asked.name)} is unlike others of its kind"),
        )
    elif own and (own.fitting or not known):
        density = spread(own, asked.kinds, spooned)
        ground = Ground.OWN_MEASURE if own.exact and spooned else Ground.OWN_DENSITY
    else:
        density, ground = kind, Ground.KIND_DENSITY
        if not known:
            message = f"no density is known for {brief(asked.name)}; that of water was used"
            remarks = (Remark("density-assumed", message),)
    grams = times(count, density).times(size)
    if spooned:
        grams = sized(grams, asked.line.size, "spoon")
    if unit in VESSELS:
        grams = sized(grams.times(1.0, *VESSELS[unit]), None if spooned else asked.line.size, "count")
    return result(grams, ground, *remarks)


_AFTERWARDS = frozenset(("whipped", "melted", "cooked", "boiled"))


def _measured_so(asked: Asked) -> tuple[str, ...]:
    """The words of preparation that hold when the food is measured: "300 ml double cream, whipped" is poured."""
    prepared = asked.prepared
    if _AFTERWARDS.isdisjoint(prepared):
        return prepared
    before = asked.before()
    return tuple(word for word in prepared if word not in _AFTERWARDS or word in before)
