"""What was used against what was planned: the factor and its spread are those of the logs."""

import math
import random
from fractions import Fraction

import pytest
from scipy import stats

from mockup.store.used import Sample, factor_of
from tests.store.small import glitter


def samples(*factors):
    return [Sample(i, Fraction(100), Fraction(repr(100 * f))) for i, f in enumerate(factors)]


def test_an_order_teaches_once_it_is_handed_over_and_its_use_was_told(store):
    jar = store.materials.enter(glitter(loss_share=0.25))
    store.stock.buy(jar, 100)
    told, silent, called_off, open_ = (store.book.add_order(f"Crew {i}").id for i in range(4))
    for order in (told, silent, called_off, open_):
        store.stock.reserve(order, {jar.id: 10})
    for order in (told, called_off, open_):
        store.stock.use(jar, 7, order=order)
        store.stock.use(jar, 3.4, order=order)
    assert store.used.factor(jar) is None

    store.book.close_order(store.book.order(told), "handed over")
    store.book.close_order(store.book.order(silent), "handed over")
    store.book.close_order(store.book.order(called_off), "called off")

    (sample,) = store.used.of_material(jar)
    assert (sample.order_id, sample.planned_net, sample.used) == (told, 8, Fraction("10.4"))
    factor = store.used.factor(jar)
    assert (factor.mean, factor.count, factor.deviation) == (pytest.approx(1.3), 1, None)
    assert factor.loss_share == pytest.approx(0.3)


def test_the_factor_is_the_geometric_mean_with_the_deviation_of_the_logs():
    factor = factor_of(samples(1.1, 1.3, 1.2, 1.6))

    logs = [math.log(f) for f in (1.1, 1.3, 1.2, 1.6)]
    assert factor.mean == pytest.approx(stats.gmean([1.1, 1.3, 1.2, 1.6]))
    assert factor.deviation == pytest.approx(stats.tstd(logs))
    assert factor.count == 4
    assert factor.low < factor.mean < factor.high


def test_the_next_order_lies_in_its_range_nine_times_in_ten():
    """2000 makers of known spread: binomial error of the share is 0.007, 4 of it 0.027."""
    drawn, inside = random.Random(4), 0
    for _ in range(2000):
        *known, following = (drawn.lognormvariate(0.2, 0.15) for _ in range(6))
        factor = factor_of(samples(*known))
        inside += factor.low <= following <= factor.high

    assert inside / 2000 == pytest.approx(0.9, abs=0.027)


def test_less_than_planned_proposes_no_loss_and_none_teaches_nothing():
    assert factor_of(samples(0.9, 0.95)).loss_share == 0
    assert factor_of([]) is None
