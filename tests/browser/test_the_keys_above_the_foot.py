"""The pad of the egg round on low and narrow phones: every key whole, above the foot line, large enough for a glove."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, cage, count, jump

SIZES = [(340, 640), (360, 640), (360, 740), (390, 844)]
LEAST_KEY_PX = 64
MEASURE = """() => {
    const box = (what) => document.querySelector(what).getBoundingClientRect();
    const keys = [...document.querySelectorAll('.keys button')].map((key) => key.getBoundingClientRect());
    const digits = [...document.querySelectorAll('.number-pad .key')].map((key) => key.getBoundingClientRect());
    return {
        lowest: Math.max(...keys.map(({ bottom }) => bottom)),
        foot: box('.foot-line').top,
        code: box('.cage-here h2').top,
        strip: box('.cage-strip').bottom,
        least: Math.min(...digits.flatMap(({ width, height }) => [width, height])),
    };
}"""


def test_no_key_is_cut(house: House, phone: Callable[..., Phone]) -> None:
    set_up(house, cages=3, mornings=10)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.go("/round")
    count(page, "A1", 4)
    jump(page, "A1")
    # As much as is ever said of a cage: its birds, its usual count, and what was counted today.
    here = cage(page, "A1")
    expect(here).to_contain_text("this round: 4 by")
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(200)
        is_ = page.evaluate(MEASURE)
        assert is_["lowest"] <= is_["foot"], f"{width} x {height}: a key is cut by the foot line"
        assert is_["code"] >= is_["strip"], f"{width} x {height}: the code touches the strip"
        assert is_["least"] >= LEAST_KEY_PX, f"{width} x {height}: a key is too small"
