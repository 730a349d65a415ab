"""What a phone's own store holds, read from the browser itself; and ways in which a browser loses it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Error, Page

READ = """async () => {
    const found = (await indexedDB.databases()).find(({ name }) => name.startsWith('barnbook-'));
    if (!found) return [];
    const db = await new Promise((resolve, reject) => {
        const asked = indexedDB.open(found.name);
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
    });
    const kept = await new Promise((resolve, reject) => {
        const asked = db.transaction('outbox').objectStore('outbox').getAll();
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
    });
    db.close();
    return kept;
}"""

STILL_TO_SEND = """async () => {
    let unsent = 0;
    for (const { name } of (await indexedDB.databases()).filter(({ name }) => name.startsWith('barnbook-'))) {
        const db = await new Promise((resolve, reject) => {
            const asked = indexedDB.open(name);
            asked.onsuccess = () => resolve(asked.result);
            asked.onerror = () => reject(asked.error);
        });
        unsent += await new Promise((resolve, reject) => {
            const asked = db.transaction('outbox').objectStore('outbox').index('open').count('waiting');
            asked.onsuccess = () => resolve(asked.result);
            asked.onerror = () => reject(asked.error);
        });
        db.close();
    }
    return unsent;
}"""

LOSE = """async () => {
    for (const { name } of await indexedDB.databases())
        await new Promise((resolve) => {
            const asked = indexedDB.deleteDatabase(name);
            asked.onsuccess = asked.onerror = asked.onblocked = resolve;
        });
}"""


def outbox(page: Page) -> list[dict[str, Any]]:
    """Every entry in the phone's store, sent or not, in the order in which it was made."""
    return page.evaluate(READ)  # type: ignore[no-any-return]


def still_to_send(page: Page) -> int:
    """Entries of any farm's outbox that are still to be sent; asked again where the page turned meanwhile."""
    try:
        return page.evaluate(STILL_TO_SEND)  # type: ignore[no-any-return]
    except Error:
        page.wait_for_load_state()
        return page.evaluate(STILL_TO_SEND)  # type: ignore[no-any-return]


def lose_the_databases(page: Page) -> None:
    """As a browser does under pressure, or after damage: the store is gone, the cookies are not."""
    page.evaluate(LOSE)
