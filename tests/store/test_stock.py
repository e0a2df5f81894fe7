"""Stock is the sum of its moves, whoever moves at once; an order holds what its plan takes."""

import multiprocessing
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import StoreError
from mockup.store import open_store
from mockup.store.exact import amount_of, kept
from tests.store.small import glitter

TURNS = 12


@pytest.fixture
def jar(store):
    return store.materials.enter(glitter())


@pytest.fixture
def orders(store):
    return [store.book.add_order(f"Crew {i}").id for i in range(2)]


def there(store, jar):
    now = store.materials.get(jar.id)
    return float(now.on_hand), float(now.reserved)


def test_what_is_on_hand_is_what_was_bought_less_what_was_used(store, jar):
    store.stock.buy(jar, 50, price_minor=600)
    store.stock.use(jar, 12.3)

    assert store.stock.use(jar, 0.7).on_hand == 37
    assert store.stock.count(jar, 35.5).on_hand == Fraction("35.5")
    moves = [(m.kind, float(m.on_hand), m.price_minor) for m in store.stock.moves(jar)]
    assert moves == [
        ("counted", -1.5, None), ("used", -0.7, None), ("used", -12.3, None), ("bought", 50, 600),
    ]  # fmt: skip


def test_an_order_reserves_uses_and_gives_back_what_is_left(store, jar, orders):
    store.stock.buy(jar, 50)
    store.stock.reserve(orders[0], {jar.id: 20})
    assert there(store, jar) == (50, 20)

    store.stock.use(jar, 8, order=orders[0])
    assert there(store, jar) == (42, 12)
    store.stock.use(jar, 15, order=orders[0])
    assert there(store, jar) == (27, 0)

    store.stock.reserve(orders[1], {jar.id: 10})
    store.stock.give_back(orders[1])
    assert there(store, jar) == (27, 0)


def test_what_an_order_used_of_several_is_booked_whole_or_not_at_all(store, jar, orders):
    other = store.materials.enter(glitter("navy flake"))
    store.stock.buy(jar, 50)

    with pytest.raises(StoreError, match="'navy flake': 2 g cannot be taken of the 0 g on hand"):
        store.stock.use_for(orders[0], [(jar, 5), (other, 2)])

    assert there(store, jar) == (50, 0)
    store.stock.buy(other, 10)
    store.stock.use_for(orders[0], [(jar, 5), (other, 2)])
    assert [float(c.used) for c in store.stock.of_order(orders[0])] == [5, 2]


def test_reserving_again_holds_what_the_plan_takes_now(store, jar, orders):
    store.stock.buy(jar, 50)
    other = store.materials.enter(glitter("navy flake"))

    for plan in ({jar.id: 20}, {jar.id: 20}, {jar.id: 25, other.id: 3}, {jar.id: 15}):
        claims = store.stock.reserve(orders[0], plan)

    assert {c.material_id: float(c.reserved) for c in claims} == {jar.id: 15, other.id: 0}
    assert [m.kind for m in store.stock.moves(jar)] == [
        "given back",
        "reserved",
        "reserved",
        "bought",
    ]
    store.stock.use(jar, 4, order=orders[0])
    store.stock.reserve(orders[0], {jar.id: 15})
    assert there(store, jar) == (46, 11)


def test_more_may_be_reserved_than_is_there_and_then_it_is_short(store, jar, orders):
    store.stock.buy(jar, 30)
    for order in orders:
        store.stock.reserve(order, {jar.id: 20})

    assert store.materials.get(jar.id).free == -10


@pytest.mark.parametrize(
    ("how", "left"), [("called off", (50, 0)), ("handed over", (30, 0))], ids=str
)
def test_closing_settles_what_an_order_had_reserved(store, jar, orders, how, left):
    """Called off, it gives all back. Handed over, what nobody weighed was used as planned."""
    store.stock.buy(jar, 50)
    store.stock.reserve(orders[0], {jar.id: 20})

    store.book.close_order(store.book.order(orders[0]), how)

    assert there(store, jar) == left
    with pytest.raises(StoreError, match=f"order 1 was {how}"):
        store.stock.reserve(orders[0], {jar.id: 20})


def test_what_was_weighed_is_not_taken_a_second_time_at_the_hand_over(store, jar, orders):
    store.stock.buy(jar, 50)
    store.stock.reserve(orders[0], {jar.id: 20})
    store.stock.use(jar, 18, order=orders[0])

    store.book.close_order(store.book.order(orders[0]), "handed over")

    assert there(store, jar) == (32, 0)


def test_what_is_weighed_after_the_hand_over_stands_in_place_of_what_was_assumed(
    store, jar, orders
):
    store.stock.buy(jar, 20)
    store.stock.reserve(orders[0], {jar.id: 20})
    store.book.close_order(store.book.order(orders[0]), "handed over")
    assert (there(store, jar), store.used.factor(jar)) == ((0, 0), None)

    store.stock.use(jar, 14, order=orders[0])
    store.stock.use(jar, 3, order=orders[0])

    assert there(store, jar) == (3, 0)
    (claim,) = store.stock.of_order(orders[0])
    assert (claim.used, claim.assumed) == (17, 0)
    assert store.used.factor(jar).mean == pytest.approx(17 / 16)  # 20 with a quarter for loss


def test_what_cannot_be_is_refused_and_changes_nothing(store, jar, orders):
    store.stock.buy(jar, 10)
    refused = [
        (lambda: store.stock.use(jar, 10.1), "10.1 g cannot be taken of the 10 g on hand"),
        (lambda: store.stock.buy(jar, 0), "0 is too little"),
        (lambda: store.stock.use(jar, -1), "too little"),
        (lambda: store.stock.count(jar, float("nan")), "no amount"),
        (lambda: store.stock.use(jar, 1, order=99), "there is no order 99"),
        (lambda: store.stock.reserve(99, {jar.id: 1}), "there is no order 99"),
        (lambda: store.stock.reserve(orders[0], {jar.id: 1, 99: 1}), "there is no material 99"),
    ]
    for act, said in refused:
        with pytest.raises(StoreError, match=said):
            act()

    assert there(store, jar) == (10, 0)
    assert len(store.stock.moves(jar)) == 1


@given(st.lists(st.integers(1, 10**9).map(lambda n: n / 10_000), max_size=30))
def test_amounts_add_up_exactly(amounts):
    """Ten-thousandths come back as they were written, so sums are those of the decimals."""
    total = amount_of(sum(kept(amount, where="") for amount in amounts))

    assert total == sum((Fraction(repr(amount)) for amount in amounts), Fraction(0))


def window(place, jar, order, told):
    """A window at work: buys, uses, reserves and gives back, and counts what went through."""
    with open_store(place) as store:
        material, done = store.materials.get(jar), Counter()
        for turn in range(TURNS):
            store.stock.buy(material, 3)
            done["bought"] += 3
            try:
                store.stock.use(material, 4)
                done["used"] += 4
            except StoreError:
                done["refused"] += 1
            store.stock.reserve(order, {jar: 5})  # one order: both windows reserve the same
            if turn % 3 == 2:
                store.stock.give_back(order)
        store.stock.reserve(order, {jar: 5})
        told.put(dict(done))


def test_two_windows_at_once_never_make_stock_wrong(store, jar, orders):
    """Each of two processes sees what the other did: nothing is used twice or reserved twice."""
    place = store.at.engine.url.render_as_string(hide_password=False)
    spawn = multiprocessing.get_context("spawn")
    told = spawn.Queue()
    processes = [
        spawn.Process(target=window, args=(place, jar.id, orders[0], told), daemon=True)
        for _ in range(2)
    ]
    for process in processes:
        process.start()
    done = sum((Counter(told.get(timeout=300)) for _ in processes), Counter())
    for process in processes:
        process.join(60)

    assert [process.exitcode for process in processes] == [0, 0]
    on_hand, reserved = there(store, jar)
    assert on_hand == done["bought"] - done["used"] >= 0
    assert done["refused"] > 0  # 4 of every 3: the shelf ran empty
    assert reserved == 5
    sums = [0, 0]
    for move in reversed(store.stock.moves(jar)):
        sums = [sums[0] + move.on_hand, sums[1] + move.reserved]
        assert min(sums) >= 0
        assert sums[1] <= 5
