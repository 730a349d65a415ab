"""Cards for the cages: what is printed, what its square says, and that it opens the cage with the house closed."""

from __future__ import annotations

import re
from collections.abc import Callable

import segno
from playwright.sync_api import Locator, expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book


def squares(card: Locator) -> list[list[int]]:
    """The dark (1) and light (0) modules of a card's square, its quiet border too."""
    qr = card.get_by_role("img")
    size = int((qr.get_attribute("viewBox") or "").split()[2])
    dark = re.findall(r"M(\d+) (\d+)h1v1h-1z", qr.locator("path").get_attribute("d") or "")
    rows = [[0] * size for _ in range(size)]
    for x, y in dark:
        rows[int(y)][int(x)] = 1
    return rows


# ISO/IEC 18004, table 9 (from memory): level M, version -> how many blocks, of how many data codewords.
BLOCKS = {3: (1, 44), 4: (2, 32), 5: (2, 43), 6: (4, 27)}
MASKS: list[Callable[[int, int], int]] = [
    lambda r, c: (r + c) % 2,
    lambda r, c: r % 2,
    lambda r, c: c % 3,
    lambda r, c: (r + c) % 3,
    lambda r, c: (r // 2 + c // 3) % 2,
    lambda r, c: r * c % 2 + r * c % 3,
    lambda r, c: (r * c % 2 + r * c % 3) % 2,
    lambda r, c: ((r + c) % 2 + r * c % 3) % 2,
]


def read_square(with_border: list[list[int]]) -> str:
    """What a square of versions 3 to 6, level M, says in byte mode: read as ISO/IEC 18004 lays it out, by hand, so that
    neither encoder of ours is asked. No error is corrected: every module must be right."""
    size = len(with_border) - 8
    modules = [row[4:-4] for row in with_border[4:-4]]
    version = (size - 17) // 4

    def is_function(r: int, c: int) -> bool:
        corners = (r < 9 and c < 9) or (r < 9 and c >= size - 8) or (r >= size - 8 and c < 9)
        return corners or r == 6 or c == 6 or (abs(r - (size - 7)) <= 2 and abs(c - (size - 7)) <= 2)

    said = [modules[8][c] for c in range(5)]  # the format's first five bits, beneath 10101: level and mask
    level_and_mask = int("".join(map(str, said)), 2) ^ 0b10101
    assert level_and_mask >> 3 == 0b00, "level M"
    mask = MASKS[level_and_mask & 0b111]
    bits, upwards = [], True
    for right in range(size - 1, 0, -2):
        right -= right <= 6  # the column of the timing pattern is passed over
        for r in range(size - 1, -1, -1) if upwards else range(size):
            bits += [modules[r][c] ^ (mask(r, c) == 0) for c in (right, right - 1) if not is_function(r, c)]
        upwards = not upwards
    words = [int("".join(str(int(bit)) for bit in bits[n : n + 8]), 2) for n in range(0, len(bits) - 7, 8)]
    blocks, each = BLOCKS[version]
    data = [words[n * blocks + block] for block in range(blocks) for n in range(each)]
    text = "".join(f"{word:08b}" for word in data)
    assert text[:4] == "0100", "byte mode"
    length = int(text[4:12], 2)
    return bytes(int(text[12 + 8 * n : 20 + 8 * n], 2) for n in range(length)).decode()


def test_the_reader_of_squares_reads_what_another_encoder_made() -> None:
    for text in (
        "https://barnbook.local:8443/cage/01a213b6-b281-7860-af4d-065f458098c3",
        "http://10.0.0.7/cage/" + "x" * 22,
    ):
        for mask in range(8):
            made = segno.make(text, error="m", mask=mask, boost_error=False, micro=False)
            assert read_square([list(row) for row in made.matrix_iter(border=4)]) == text


def test_a_card_s_square_opens_its_cage_with_the_house_closed(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=11, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.go("/set-up")
    page.get_by_role("link", name=re.compile("Cards for the cages")).click()
    house_alone = page.get_by_text("No phone reaches the house as it is served now")
    expect(house_alone).to_be_visible()
    expect(page.locator(".card-qr")).to_have_count(0)

    # As the house's own machine has it once it is served to phones.
    page.route("**/api/phone-address", lambda route: route.fulfill(json={"address": house.url}))
    keeper.go("/set-up/cards")
    expect(page.get_by_role("article")).to_have_count(11)
    expect(page.get_by_role("button", name="Print 11 cards")).to_be_enabled()
    card = page.get_by_role("article", name="Cage A4", exact=True)
    link = f"{house.url}/cage/{barn.cages[barn.codes.index('A4')]}"
    assert read_square(squares(card)) == link

    # On paper: the cards alone, ten a sheet.
    page.emulate_media(media="print")
    for gone in (".card-keys", ".page-head", ".contents-place", ".foot-line"):
        expect(page.locator(gone).first).to_be_hidden()
    pdf = page.pdf(format="A4", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 2
    page.emulate_media(media="screen")

    house.close()
    page.goto(link)
    expect(page.get_by_role("heading", name="A4", level=1)).to_be_visible()
    expect(page.get_by_text("as of ").first).to_be_visible()
    assert keeper.faults == []
