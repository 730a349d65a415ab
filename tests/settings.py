"""The house's settings as the tests need them: pytest-django reads settings before any conftest has run."""

from __future__ import annotations

import os
import tempfile

os.environ.setdefault("BARNBOOK_TESTING", "1")
os.environ.setdefault("BARNBOOK_DATA", tempfile.mkdtemp(prefix="barnbook-test-"))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # a worker a core: second threads would only wait for one another
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")  # Playwright's loop runs in the thread of the tests

from barnbook.site.settings import *  # noqa: F403
