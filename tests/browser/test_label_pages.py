"""Labels, the box for codes, the round, and the page on which a phone comes to trust the yard: looked at."""

import threading

import pytest
from django.conf import settings

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_log, make_slab, make_stack
from yard.serving.authority import https_ready
from yard.serving.trust_page import TrustServer


@pytest.mark.looks
@pytest.mark.parametrize("size", [{"width": 360, "height": 740}, PHONE, DESK], ids=["small", "phone", "desk"])
def test_label_pages_hold_together_and_axe_finds_nothing(open_page, browser_owner, size):
    log = make_log("Q-9")
    for _ in range(3):
        make_slab(log=log)
    make_stack("ST-1", slabs=2)
    page = open_page(size, person=browser_owner)
    for path in ("/labels/", f"/labels/?log={log.pk}", "/c/", "/c/?q=Q-9-", "/c/?q=nothing", "/round/"):
        page.goto(path)
        look_over(page, f"labels-{path}")
        if size != DESK:
            assert small_targets(page) == [], path


def test_page_on_which_a_phone_comes_to_trust_the_yard_is_readable(open_page, browser_owner, tmp_path):
    files = https_ready(tmp_path / "https", ["yard.local", "127.0.0.1"], "Hollow Oak Yard")
    css = settings.BASE_DIR / "static" / "css"
    server = TrustServer(("127.0.0.1", 0), files=files, https_port=8443, yard_name="Hollow Oak Yard", css=css)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    page = open_page({"width": 360, "height": 740})
    page.goto(f"http://127.0.0.1:{server.server_port}/")
    look_over(page, "trust")
    assert small_targets(page) == []
    server.shutdown()
    server.server_close()
    page.problems = [one for one in page.problems if "favicon" not in one]
