"""The phone in the yard, in a real Chromium at phone size: kept on the phone, sent when there is signal, once."""

import gzip
import time
from datetime import timedelta

import pytest
from django.utils import timezone

from tests.browser.conftest import log_in
from tests.browser.looking import axe_violations, overflow_px, shot, small_targets
from tests.make import make_log, make_person, make_stack
from yard.models import PhoneRecord, Slab, Weighing
from yard.services.samples import sample_add

CLOCK_A_DAY_AHEAD = """
    const Real = Date, ahead = 864e5;
    globalThis.Date = class extends Real {
      constructor(...given) { if (given.length) super(...given); else super(Real.now() + ahead); }
      static now() { return Real.now() + ahead; }
    };
"""
NO_SIGNAL = ("ERR_INTERNET_DISCONNECTED", "htmx:sendError", "htmx:afterRequest")
SMALL = {"width": 360, "height": 740}


@pytest.fixture
def samples(browser_yard):
    """Twelve samples of one stack."""
    stack = make_stack("ST-1", slabs=12)
    cohort = stack.cohorts.get()
    return [sample_add(cohort=cohort, name=slab.tag, slab=slab) for slab in stack.slabs_now.order_by("id")]


@pytest.fixture
def phone(open_page, browser_owner, samples):
    """A small phone on which the owner is logged in, with the yard taken along."""
    make_log("L-7")
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    page.goto("/phone/#/round")
    take_along(page)
    return page


STATE = """async () => JSON.stringify([
    navigator.onLine, document.body.dataset.waiting, YardSend.now(), await navigator.locks.query(),
    (await YardStore.all("queue")).map(({ number, kind, state, reason }) => [number, kind, state, reason])])"""


def until(page, script, seconds=15, arg=None):
    """Ask the page again and again; its policy allows no script of Playwright's own that would wait there."""
    end = time.monotonic() + seconds
    while not page.evaluate(script, arg):
        assert time.monotonic() < end, f"never came true: {script}; the phone: {page.evaluate(STATE)}"
        page.wait_for_timeout(50)


def take_along(page):
    until(page, "navigator.serviceWorker.controller !== null")
    until(page, "YardStore.get('pack').then((pack) => pack !== undefined)")


def offline(page):
    page.context.set_offline(True)


def online(page):
    page.context.set_offline(False)


@pytest.fixture(autouse=True)
def no_signal_is_no_fault(open_page):
    """The console notes every request that met no signal; that is what these tests provoke."""
    yield
    for page in open_page.pages:
        page.problems = [one for one in page.problems if not any(fault in one for fault in NO_SIGNAL)]


def weigh(page, sample, weight):
    page.goto(f"/C/{sample.code}")
    page.locator("#id_weight").wait_for()
    for figure in str(weight):
        page.locator(f'.weigh-pad [data-key="{figure}"]').tap()
    page.get_by_role("button", name="Save").tap()
    sure = page.get_by_role("button", name="It is right: keep it")
    kept = page.get_by_text("It is on the phone")
    gone_on = page.get_by_role("heading", name="Kept")  # with signal the page of what it changed follows at once
    sure.or_(kept).or_(gone_on).or_(page.get_by_text("Arrived", exact=True)).first.wait_for()
    if sure.is_visible():
        sure.tap()


def tally(page, code, width):
    page.goto(f"/phone/#/saw/{code}")
    page.locator("#id_widths_in").wait_for()
    if page.locator("details.same").get_attribute("open") is not None:
        page.get_by_role("button", name="8/4", exact=True).tap()
    for figure in str(width):
        page.locator(f'.weigh-pad [data-key="{figure}"]').tap()
    before = waiting(page)
    page.get_by_role("button", name="Add slab").tap()
    until(page, "(n) => Number(document.body.dataset.waiting) === n", arg=before + 1)


def waiting(page):
    until(page, "document.body.dataset.waiting !== undefined")
    return int(page.locator("body").get_attribute("data-waiting"))


def wait_until_sent(page):
    # Longer than the phone gives one connection that hangs: the next try must bring it home.
    until(page, "document.body.dataset.waiting === '0'", seconds=150)


def test_twelve_weighings_and_eight_slabs_without_signal_arrive_once_in_order(phone, samples):
    page = phone
    page.goto(f"/C/{samples[0].code}")
    page.locator("#id_weight").wait_for()
    offline(page)
    start = timezone.now()
    for number, sample in enumerate(samples):
        weigh(page, sample, 90 + number)
    assert waiting(page) == 12
    log = _log()
    for number in range(8):
        tally(page, log.code, 11 + number)
    assert waiting(page) == 20
    shot(page, "phone-tally")
    context = page.context
    page.close()  # the tab is closed ...
    page = context.new_page()
    page.goto(f"/C/{samples[3].code}")  # ... and opened again, still without signal
    assert waiting(page) == 20
    weigh(page, samples[3], 92)
    tally(page, log.code, 15)
    assert waiting(page) == 22
    page.goto("/phone/#/waiting")
    shot(page, "phone-waiting-22")
    end = timezone.now()
    assert not Weighing.objects.exists()
    online(page)
    wait_until_sent(page)
    weights = list(PhoneRecord.objects.filter(kind="weighing").order_by("id"))
    assert [one.sent["code"] for one in weights] == [sample.code for sample in [*samples, samples[3]]]
    assert [float(one.sent["weight"]) for one in weights] == [*range(90, 102), 92]
    assert Weighing.objects.count() == 13
    slabs = list(Slab.objects.filter(log=log).order_by("position"))
    assert [slab.widths_in for slab in slabs] == [[float(width)] for width in [*range(11, 19), 15]]
    times = [one.made_at for one in PhoneRecord.objects.order_by("number")]
    assert times == sorted(times)
    assert start - timedelta(seconds=1) <= times[0]
    assert times[-1] <= end + timedelta(seconds=1)
    receipts = {receipt.client_key: receipt.made_at for receipt in weights}
    assert all(receipts[weighing.client_key] == weighing.made_at for weighing in Weighing.objects.all())
    assert all(one.received_at > end for one in PhoneRecord.objects.all())


def _log():
    from yard.models import Log

    return Log.objects.get(tag="L-7")


def test_record_is_on_the_phone_before_it_is_said_and_before_it_is_sent(phone, samples):
    """The server never answers here: all the same the record lies in the phone's store at once."""
    phone.route("**/phone/records/", lambda route: None)
    weigh(phone, samples[0], 93)
    kept = phone.evaluate("YardStore.all('queue')")
    assert [one["typed"]["weight"] for one in kept] == ["93"]
    phone.unroute("**/phone/records/")


def test_with_signal_it_arrives_at_once_and_says_what_it_changed(phone, samples):
    weigh(phone, samples[0], 93)
    phone.get_by_text("MC now").first.wait_for()
    shot(phone, "phone-arrived")
    assert Weighing.objects.get().weight_lb == 93
    assert waiting(phone) == 0


def test_round_is_kept_and_ticked_off_without_signal(phone, samples):
    from yard.services.estimates import estimates_refresh

    estimates_refresh(cohort_ids=[samples[0].cohort_id], because="test")
    phone.goto("/phone/#/round")
    phone.get_by_role("button", name="Take along anew").tap()
    stop = phone.locator("ol.way-list a").first
    stop.wait_for()
    shot(phone, "phone-round")
    offline(phone)
    phone.reload()
    stop.wait_for()
    weigh(phone, samples[0], 91)
    phone.goto("/phone/#/round")
    phone.locator("li.ticked").wait_for()
    assert "1 of 1 done" in phone.inner_text("main")
    online(phone)
    wait_until_sent(phone)


def test_refused_record_stays_with_its_reason_and_is_mended(phone, samples):
    phone.evaluate(
        """(code) => YardStore.add({kind: "weighing", label: "A: 9999 lb", units: "imperial",
            typed: {code, weight: "9999", unit: "lb"}})""",
        samples[0].code,
    )
    phone.goto("/phone/#/waiting")
    phone.get_by_role("button", name="Send", exact=True).tap()
    phone.get_by_text("can weigh at most").first.wait_for()
    assert phone.locator("body").get_attribute("data-refused") == "1"
    shot(phone, "phone-refused")
    assert not Weighing.objects.exists()
    phone.get_by_role("link", name="Mend it").tap()
    phone.locator("#id_weight").wait_for()
    assert phone.locator("#id_weight").input_value() == "9999"
    phone.locator("#id_weight").fill("93")
    phone.get_by_role("button", name="Save").tap()
    until(phone, "document.body.dataset.waiting === '0' && document.body.dataset.refused === '0'")
    assert Weighing.objects.get().weight_lb == 93


def test_logged_out_meanwhile_the_queue_waits_for_log_in_and_goes_on(phone, browser_owner, samples, live_server):
    offline(phone)
    weigh(phone, samples[0], 93)
    weigh(phone, samples[1], 94)
    phone.context.clear_cookies()
    online(phone)
    phone.get_by_role("link", name="Log in to send").wait_for()
    assert waiting(phone) == 2
    assert not Weighing.objects.exists()
    log_in(phone.context, live_server.url, browser_owner)
    phone.goto("/phone/#/waiting")
    wait_until_sent(phone)
    assert Weighing.objects.count() == 2


def test_token_that_changed_meanwhile_is_fetched_anew(phone, samples):
    weigh(phone, samples[0], 93)
    wait_until_sent(phone)
    phone.context.clear_cookies(name="slabwright_csrf")
    weigh(phone, samples[1], 94)
    wait_until_sent(phone)
    assert Weighing.objects.count() == 2
    phone.problems = [one for one in phone.problems if "403" not in one]


def test_what_one_person_wrote_waits_for_them_when_another_logs_in(phone, samples, live_server):
    offline(phone)
    weigh(phone, samples[0], 93)
    phone.context.clear_cookies()
    other = make_person("hand", "hank")
    log_in(phone.context, live_server.url, other)
    online(phone)
    phone.goto("/phone/#/waiting")
    phone.get_by_text("olive wrote this down").wait_for()
    assert not Weighing.objects.exists()
    phone.get_by_role("button", name="Send it as mine").tap()
    wait_until_sent(phone)
    assert Weighing.objects.get().by == other


def test_two_tabs_sending_at_once_send_each_record_once(phone, samples):
    offline(phone)
    for number, sample in enumerate(samples[:5]):
        weigh(phone, sample, 90 + number)
    other = phone.context.new_page()
    other.goto("/phone/#/waiting")
    online(phone)
    for page in (phone, other):
        page.evaluate("YardSend.send()")
    wait_until_sent(phone)
    assert Weighing.objects.count() == PhoneRecord.objects.count() == 5


def test_new_version_of_the_program_sends_what_an_older_one_left(phone, samples):
    """A store without what later versions add: the first version's stores alone, and a record as it wrote them."""
    offline(phone)
    weigh(phone, samples[0], 93)
    phone.evaluate("caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))))")
    phone.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.unregister())")
    online(phone)
    phone.goto("/phone/")
    wait_until_sent(phone)
    assert Weighing.objects.count() == 1


def test_clock_of_the_phone_wrong_by_a_day_is_set_right(open_page, browser_owner, samples):
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    page.add_init_script(CLOCK_A_DAY_AHEAD)
    page.goto("/phone/")
    take_along(page)
    weigh(page, samples[0], 93)
    wait_until_sent(page)
    weighing, receipt = Weighing.objects.get(), PhoneRecord.objects.get()
    assert abs(weighing.made_at - timezone.now()) < timedelta(minutes=2)
    assert receipt.made_at - receipt.received_at > timedelta(hours=23)


@pytest.mark.parametrize("path", ["/weigh/{}/", "/phone/#/weigh/{}"])
def test_first_visit_of_the_weigh_screen_is_light_and_without_charts(open_page, browser_owner, samples, path):
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    answers = []
    page.on("response", lambda answer: answers.append(answer))
    page.goto(path.format(samples[0].code))
    page.locator("#id_weight").wait_for()
    by_page = [one for one in answers if not one.from_service_worker and one.request.service_worker is None]
    names = {one.url for one in by_page}
    carried = sum(len(gzip.compress(one.body())) for one in by_page if one.ok)
    assert carried <= 60 * 1024
    assert len(names) > 5
    assert not [name for name in names if "plotly" in name]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_screens_are_for_one_gloved_thumb_in_the_sun(open_page, browser_owner, samples, scheme):
    from yard.services.estimates import estimates_refresh

    estimates_refresh(cohort_ids=[samples[0].cohort_id], because="test")
    log = make_log("L-7")
    page = open_page(SMALL, person=browser_owner, has_touch=True, scheme=scheme)
    page.goto("/phone/")
    take_along(page)
    code, stack = samples[0].code, samples[0].cohort.stack.code
    for path in ("", "round", f"weigh/{code}", f"weigh/{stack}", f"weigh/{code}/meter", f"weigh/{code}/oven",
                 f"weigh/{code}/photo", "mill", f"saw/{log.code}", "waiting"):  # fmt: skip
        page.goto(f"/phone/#/{path}")
        page.wait_for_timeout(250)
        shot(page, f"phone-{path.replace(code, 'sample').replace(stack, 'stack').replace(log.code, 'log')}-{scheme}")
        assert overflow_px(page) <= 0, path
        assert axe_violations(page) == [], path
        assert small_targets(page) == [], path


def test_weight_typed_on_its_own_page_is_on_the_phone_before_it_is_sent(open_page, browser_owner, samples):
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    page.goto(f"/weigh/{samples[0].code}/")
    until(page, "navigator.serviceWorker.controller !== null")
    page.locator("#id_weight").fill("93")
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/weigh/kept/**")
    assert "MC now" in page.inner_text("main")
    page.goto(f"/weigh/{samples[1].code}/")
    page.locator("#id_weight").fill("94")
    offline(page)
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/phone/#/waiting")
    page.get_by_text("1 waits here").wait_for()
    assert Weighing.objects.count() == 1
    online(page)
    wait_until_sent(page)
    assert Weighing.objects.count() == PhoneRecord.objects.count() == 2


def test_weight_that_is_hardly_possible_is_asked_about_on_its_own_page(open_page, browser_owner, samples):
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    page.goto(f"/weigh/{samples[0].code}/")
    page.locator("#id_weight").fill("150")
    page.get_by_role("button", name="Save").tap()
    page.get_by_role("button", name="It is right").tap()
    page.wait_for_url("**/weigh/kept/**")
    assert Weighing.objects.get().weight_lb == 150
    assert page.evaluate("YardStore.all('queue')") == []


def test_slab_added_on_the_saws_page_without_signal_waits_and_arrives(open_page, browser_owner, samples):
    log = make_log("L-8")
    page = open_page(SMALL, person=browser_owner, has_touch=True)
    page.goto(f"/logs/{log.pk}/saw/")
    until(page, "navigator.serviceWorker.controller !== null")
    offline(page)
    for width in ("14", "13"):
        page.locator("#id_thickness_in").fill("8/4")
        page.locator("#id_widths_in").fill(width)
        page.get_by_role("button", name="Add slab").tap()
        page.get_by_text("waits on this phone and is sent by itself").wait_for()
        until(page, "document.getElementById('id_widths_in').value === ''")
    page.get_by_text("2 wait on this phone").wait_for()
    assert not Slab.objects.filter(log=log).exists()
    online(page)
    until(page, "YardStore.all('queue').then((queue) => queue.length === 0)", seconds=30)
    assert [slab.widths_in for slab in Slab.objects.filter(log=log).order_by("position")] == [[14.0], [13.0]]
