"""What a phone's own store holds, read from the browser itself; and ways in which a browser loses it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

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


def lose_the_databases(page: Page) -> None:
    """As a browser does under pressure, or after damage: the store is gone, the cookies are not."""
    page.evaluate(LOSE)
