"""The field page in a real browser, as large as a phone: typed, touched, offline, dark.

Truth: what the log has afterwards; WCAG 2.2, 1.4.3 (contrast), 2.5.8 (size of targets), 4.1.2
(names); nothing in the browser's console; the requests that the browser itself made.
"""

import base64
import json

import pytest
from browser.shared.looks import nameless, poor_contrast, unusable
from demo import demo_log
from phone.meadow import Drops, serving, until

from slingwright.amounts import units
from slingwright.commands.field import lan_address
from slingwright.commands.typed import Refusal
from slingwright.logbook import Logbook

pytestmark = pytest.mark.browser
PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
SMALL = """() => [...document.querySelectorAll(
    "button, select, textarea, input, .chips span, summary")]
  .filter((n) => n.getClientRects().length && !(n.matches("input") && n.closest(".chips, .tick")))
  .filter((n) => Math.min(n.getBoundingClientRect().height, n.getBoundingClientRect().width) < 44)
  .map((n) => n.outerHTML.slice(0, 80))"""


@pytest.fixture
def served(tmp_path):
    """Give a server at an address that no browser calls secure, as on a meadow."""
    try:
        host = lan_address()
    except Refusal:
        host = "127.0.0.1"
    with serving(tmp_path / "a.log", host=host) as server:
        server.path = tmp_path / "a.log"
        yield server


def opened(browser, server, url: str = "", **more):
    """Open the page on a phone that came in; what it says and asks for is kept on it."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, **more
    )
    page = context.new_page()
    page.said, page.asked = [], []
    page.on("console", lambda one: page.said.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("dialog", lambda box: (page.said.append(f"dialog {box.message}"), box.dismiss()))
    page.on("request", lambda one: page.asked.append(one.url))
    page.goto(f"{url or server.url}#{server.gate.new_code()}")
    page.wait_for_selector("nav:visible")
    page.wait_for_selector("#state:has-text('all sent, connected')")
    return page


@pytest.fixture
def phone(browser, served):
    page = opened(browser, served)
    yield page
    page.context.close()


def written(server) -> list:
    with Logbook.open(server.path) as log:
        return [entry for entry in log.current() if entry.kind == "shot"]


def state(page, words: str) -> None:
    page.wait_for_selector(f"#state:has-text('{words}')", timeout=30_000)


def test_a_shot_that_is_written_offline_comes_in_once(phone, served) -> None:
    """Truth: the log before the connection is back, and after; the page is loaded anew between."""
    phone.context.set_offline(True)
    phone.fill("[name=range]", "101.5")
    phone.fill("[name=note]", "offline")
    phone.click("#write")
    state(phone, "1 waiting, no connection")
    assert written(served) == []
    phone.click("nav >> text=List")
    assert "101.5" in phone.inner_text("#waiting")
    phone.context.set_offline(False)
    phone.reload()
    state(phone, "all sent, connected")
    phone.wait_for_timeout(500)
    assert [(one.record.range, one.note) for one in written(served)] == [(101.5, "offline")]
    assert "ERR_INTERNET_DISCONNECTED" in "".join(phone.said)


def test_the_page_opens_again_while_the_connection_is_away(phone, served) -> None:
    """Truth: the browser's own cache, and what it kept, with no server to ask."""
    phone.fill("[name=range]", "77")
    phone.fill("[name=author]", "Wren")
    phone.context.set_offline(True)
    phone.goto("about:blank")
    phone.goto(served.url)
    state(phone, "no connection")
    assert phone.input_value("[name=range]") == "77"
    assert phone.inner_text("#machine") == "Otter Ford"
    phone.click("#write")
    state(phone, "1 waiting")
    phone.context.set_offline(False)
    state(phone, "all sent, connected")
    assert [(one.record.range, one.author) for one in written(served)] == [(77.0, "Wren")]


@pytest.mark.slow
def test_two_phones_type_200_shots_each_over_a_connection_that_drops(browser, tmp_path) -> None:
    """Truth: 400 different distances, once each; a third of all connections are cut."""
    with serving(tmp_path / "a.log") as server:
        server.path = tmp_path / "a.log"
        drops = Drops(server, seed=3, share=0.0)
        url = f"http://127.0.0.1:{drops.port}/"
        phones = [opened(browser, server, url), opened(browser, server, url)]
        drops.share = 0.35
        for far in range(200):
            for k, page in enumerate(phones):
                page.fill("[name=range]", f"{far + 200 * k}")
                page.click("#write")
                until(lambda page=page: page.input_value("[name=range]") == "")
        until(lambda: len(written(server)) >= 400, 240)
        drops.share = 0.0
        for page in phones:
            state(page, "all sent, connected")
            page.context.close()
        assert min(drops.counts[how] for how in ("before", "unsent", "unheard", "half")) > 20
        found = sorted(one.record.range for one in written(server))
        assert found == [float(far) for far in range(400)]


def test_a_browser_that_reaches_nothing_else_shows_everything(browser, tmp_path) -> None:
    """Truth: every address that the browser asked for; what is shown with all else cut."""
    demo_log(tmp_path / "a.log").close()
    with serving(tmp_path / "a.log") as server:
        host = server.hosts[0]
        page = opened(browser, server, extra_http_headers={})
        page.context.route(lambda url: host not in url, lambda route: route.abort())
        page.reload()
        for part, shown in (
            ("List", "#rows li"),
            ("Map", "#picture svg circle"),
            ("Checks", "#checks-said:has-text('worked out')"),
            ("Shot", "#loads input"),
        ):
            page.click(f"nav >> text={part}")
            page.wait_for_selector(shown, state="attached")
        assert {one.split("/")[2] for one in page.asked} == {host}
        assert page.said == []
        page.context.close()


def test_a_comma_is_asked(phone, served) -> None:
    """Truth: both readings are offered, and the one that is touched is written."""
    phone.fill("[name=range]", "101,5")
    phone.click("#write")
    phone.wait_for_selector("dialog[open]")
    assert phone.locator("#ways button").all_inner_texts() == ["101.5", "1015", "Leave it"]
    phone.click("#ways >> text=Leave it")
    assert phone.input_value("[name=range]") == "101,5"
    phone.click("#write")
    phone.click("#ways >> text=101.5")
    state(phone, "all sent, connected")
    until(lambda: [one.record.range for one in written(served)] == [101.5])
    for text in (
        "1,015",
        "1,5 m",
        "12,500,000",
        "1.015,5",
        "1,015.5",
        "-3,2",
        "5",
        "",
        "x,y",
        "7,",
    ):
        try:
            units.number_or_none(text)
            ways = []
        except units.UnitError as error:
            ways = list(error.ways)
        assert phone.evaluate("(text) => waysOf(text)", text) == ways, text


def test_what_is_typed_while_the_phone_stores_is_kept(phone, served) -> None:
    """Truth: three shots, each written within the time that the store takes, come in in order."""
    phone.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (one) {
            const end = performance.now() + 300;
            const on = () => { if (performance.now() < end) this.get("").onsuccess = on; };
            on();
            return put.call(this, one);
          };
        }"""
    )
    for far in ("90", "91", "92"):
        phone.fill("[name=range]", far)
        phone.click("#write")
    until(lambda: [one.record.range for one in written(served)] == [90.0, 91.0, 92.0])
    assert phone.input_value("[name=range]") == ""


def test_what_the_phone_cannot_store_stays_typed(phone, served) -> None:
    """Truth: where the browser's store refuses, the words are told and every field is as it was."""
    phone.evaluate(
        """() => {
          const full = () => { throw new DOMException("full", "QuotaExceededError"); };
          IDBObjectStore.prototype.put = full;
        }"""
    )
    phone.fill("[name=range]", "90")
    phone.fill("[name=drift]", "2.5")
    phone.check("[name=side][value=left]")
    phone.click("#write")
    phone.wait_for_selector("#wrong-:has-text('Write it on paper')")
    assert phone.input_value("[name=range]") == "90"
    assert phone.input_value("[name=drift]") == "2.5"
    assert phone.is_checked("[name=side][value=left]")
    assert written(served) == []


def test_the_side_is_asked_and_written_with_its_sign(phone, served) -> None:
    """Truth: left is below zero, by the log's own rule; on the line is zero, not seen is none."""
    phone.fill("[name=range]", "90")
    phone.fill("[name=drift]", "2.5")
    phone.click("#write")
    phone.wait_for_selector("#wrong-drift:has-text('to which side')")
    phone.check("[name=side][value=left]")
    phone.check("[name=release_seen][value=late]")
    phone.click("#write")
    assert phone.is_checked("[name=side][value='']")
    assert phone.is_checked("[name=release_seen][value='']")
    for side in ("line", ""):
        phone.fill("[name=range]", "91")
        phone.check(f"[name=side][value='{side}']")
        phone.click("#write")
    state(phone, "all sent, connected")
    until(lambda: [one.record.drift for one in written(served)] == [-2.5, 0.0, None])
    phone.click("nav >> text=List")
    phone.click("[aria-label='Correct entry 1']")
    assert phone.input_value("[name=drift]") == "2.5"
    assert phone.is_checked("[name=side][value=left]")
    phone.fill("[name=note]", "read again")
    phone.click("#write")
    until(lambda: written(served)[0].note == "read again")
    assert written(served)[0].record.drift == -2.5


def test_what_the_server_does_not_take_comes_back_to_its_field(phone, served) -> None:
    """Truth: the words stand by the field, what was typed is there; mended, it is written once."""
    phone.fill("[name=range]", "5000")
    phone.fill("[name=note]", "too far")
    phone.click("#write")
    phone.wait_for_selector("#wrong-range:has-text('outside -1000 to 2000 m')")
    assert phone.input_value("[name=range]") == "5000"
    state(phone, "1 waiting")
    phone.fill("[name=range]", "50")
    phone.click("#write")
    state(phone, "all sent, connected")
    until(lambda: [(o.record.range, o.note) for o in written(served)] == [(50.0, "too far")])


def test_a_shot_is_corrected_and_struck_on_the_list(phone, served) -> None:
    """Truth: the log's entries, all of them still there."""
    phone.fill("[name=range]", "100")
    phone.check("[name=release_seen][value=late]")
    phone.check("#loads label:has-text('sandbag') input")
    phone.click("#write")
    phone.click("nav >> text=List")
    phone.click("#rows >> text=Correct")
    assert phone.inner_text("#write") == "Write correction"
    assert phone.input_value("[name=range]") == "100"
    phone.fill("[name=range]", "98")
    phone.fill("[name=note]", "read wrong")
    phone.click("#write")
    phone.click("nav >> text=List")
    phone.wait_for_selector("#rows >> text=98 m")
    assert "stands for entry 1" in phone.inner_text("#rows")
    record = written(served)[0].record
    assert (record.range, record.load, record.release_seen) == (98.0, 18.0, "late")
    phone.click("#rows >> text=Strike")
    phone.fill("#ask-why textarea", "not our ball")
    phone.click("#ways >> text=Strike")
    phone.wait_for_selector("#rows li.struck >> text=struck: not our ball")
    assert written(served) == []
    with Logbook.open(served.path) as log:
        assert [entry.kind for entry in log] == ["shot", "shot", "withdrawal"]
    assert phone.said == []


def test_what_another_wrote_is_seen_and_script_text_does_nothing(phone, served) -> None:
    """Truth: another phone's row is there within seconds, with its text as text."""
    with Logbook.open(served.path) as log:
        from slingwright.logbook import Shot

        script = "<img src=x onerror=alert(1)><script>document.title='owned'</script>"
        log.append(Shot(load=12.0, range=64.0), note=script, author=script)
    phone.click("nav >> text=List")
    phone.wait_for_selector("#rows >> text=64 m")
    assert script in phone.inner_text("#rows")
    assert phone.locator("#rows img, #rows script").count() == 0
    assert phone.title() == "Otter Ford"
    assert phone.said == []


def test_a_photo_is_made_smaller_and_kept(phone, served, tmp_path) -> None:
    """Truth: JPEG's first bytes in the file; what is no picture is told and not sent."""
    page = tmp_path / "axle.jpg"
    page.write_text("<html><script>alert(1)</script></html>")
    phone.set_input_files("#photo", page)
    phone.wait_for_selector("#wrong-photo:has-text('axle.jpg is no picture')")
    picture = tmp_path / "hook.png"
    picture.write_bytes(PICTURE)
    phone.fill("[name=note]", "the hook")
    phone.set_input_files("#photo", picture)
    phone.click("nav >> text=List")
    phone.wait_for_selector("#rows img")
    until(lambda: phone.evaluate("document.querySelector('#rows img').naturalWidth") > 0)
    kept = list(served.path.with_name("a.log.photos").iterdir())
    assert len(kept) == 1
    assert kept[0].read_bytes().startswith(b"\xff\xd8\xff")
    assert "the hook" in phone.inner_text("#rows")


def test_the_code_is_typed_and_a_wrong_one_is_told(browser, served) -> None:
    """Truth: the words under the field; the page opens with the code of the terminal."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(served.url)
    code = served.gate.new_code()
    page.fill("#code", "12")
    page.click("button:has-text('Come in')")
    page.wait_for_selector("#gate-said:has-text('This code is wrong')")
    assert not page.is_visible("main")
    page.fill("#code", f"{code[:4]} {code[4:]}")
    page.click("button:has-text('Come in')")
    page.wait_for_selector("#form:visible")
    served.gate._inside.clear()  # as after the server was started anew
    page.wait_for_selector("#gate:visible")
    page.fill("[name=range]", "42")
    page.click("#write")
    state(page, "1 waiting, a code is wanted")
    assert written(served) == []
    page.fill("#code", served.gate.new_code())
    page.click("button:has-text('Come in')")
    until(lambda: [one.record.range for one in written(served)] == [42.0])
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_can_be_read_and_touched(browser, tmp_path, scheme) -> None:
    """Truth: WCAG 2.2: contrast 4.5, names, targets of 44 px (2.5.5); no sideways scroll."""
    demo_log(tmp_path / "a.log").close()
    with serving(tmp_path / "a.log") as server:
        page = opened(browser, server, color_scheme=scheme)
        for part in ("Shot", "List", "Map", "Checks"):
            page.click(f"nav >> text={part}")
            page.wait_for_timeout(400)
            every = "h1, h2, p, label, legend, button, .chips span, li span, text"
            assert poor_contrast(page, every, at_least=6) == []
            assert nameless(page, "input, select, textarea, button") == []
            assert page.evaluate(SMALL) == []
            assert unusable(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") == 390
            picture = page.locator("svg[role=img]:visible")
            if part == "Map":
                words = picture.get_attribute("aria-label")
                assert "3 shots of 2026-06-12: 102.1 m, 102.9 m, 143.6 m" in words
        page.context.close()


def test_a_tick_stays_and_an_open_list_stays_open(browser, served) -> None:
    """Truth: what is ticked and open as the lists come anew with another shot in them."""
    title, line = "50 % of the counterweight", "range: 16 m; not measured"
    lists = [{"title": title, "words": "not known", "lines": [line, "looked at: every bolt"]}]
    told = {"lists": lists, "words": "These are aids.", "working": True}
    served.lists.told = lambda: told
    page = opened(browser, served)
    page.click("nav >> text=Checks")
    page.click("summary")
    page.check(".tick >> nth=1 >> input")
    more = [lists[0] | {"lines": ["range: 16 m; measured 17 m", "looked at: every bolt"]}]
    told = {"lists": more, "words": "These are aids."}
    page.wait_for_selector(".tick:has-text('measured 17 m'):visible")
    assert [page.is_checked(f".tick >> nth={k} >> input") for k in (0, 1)] == [False, True]
    page.click("text=Take all ticks away")
    until(lambda: not page.is_checked(".tick >> nth=1 >> input"))
    assert page.is_visible(".tick >> nth=0")
    page.context.close()


def test_the_map_is_where_they_fell(browser, tmp_path) -> None:
    """Truth: the order and the side of the dots against the diary's numbers."""
    demo_log(tmp_path / "a.log").close()
    with serving(tmp_path / "a.log") as server:
        page = opened(browser, server)
        page.click("nav >> text=List")
        assert "12 kg, 0.4 m left, 4.6 s in the air, release right" in page.inner_text("#rows")
        page.click("nav >> text=Map")
        told = "12 kg: 2 shots, on average 102.5 m, 102.1 m to 102.9 m"
        assert page.locator("#groups li").all_inner_texts() == [told, "4 kg: one shot, 143.6 m"]
        dots = json.loads(
            page.evaluate(
                """() => JSON.stringify([...document.querySelectorAll("svg circle")].map((n) =>
                [Number(n.getAttribute("cx")), Number(n.getAttribute("cy"))]))"""
            )
        )
        marks = page.evaluate(
            """() => Object.fromEntries([...document.querySelectorAll("svg text")].map((n) =>
            [n.textContent, [Number(n.getAttribute("x")), Number(n.getAttribute("y")) - 4]]))"""
        )
        rows = [row for row in page.evaluate("day.rows") if row["struck"] is None]
        up = marks["0 m"][1] - marks["100 m"][1]
        for (x, y), row in zip(dots, rows, strict=True):
            assert (marks["0 m"][1] - y) / up * 100.0 == pytest.approx(row["ahead"], abs=0.01)
            assert (x > marks["0"][0]) == (row["right"] > 0)
        page.context.close()


def test_what_a_step_was_measured_with_is_noted_from_the_meadow(browser, served) -> None:
    """Truth: the log's entry: thing, value in SI, and the masses of the step; then the step's own
    line, worked out anew with it; what is half typed stays as the lists come anew."""
    page = opened(browser, served)
    page.click("nav >> text=Checks")
    page.wait_for_selector("summary", timeout=120_000)
    page.click("summary >> nth=0")
    box = page.locator(".measured:visible")
    box.locator("button").click()
    page.wait_for_selector(".wrong:has-text('write what was measured'):visible")
    box.locator("select").select_option(label="hook, held [kN]")
    box.locator("input").fill("1,2 kN")
    box.locator("button").click()
    page.click("#ways >> text=Leave it")
    assert box.locator("input").input_value() == "1,2 kN"
    box.locator("input").fill("0.6 kN")
    box.locator("button").click()
    state(page, "all sent, connected")
    box.locator("input").fill("77")
    page.wait_for_selector(
        ".tick:visible:has-text('hook, held'):has-text('measured 600 N')", timeout=120_000
    )
    assert page.locator(".measured:visible input").input_value() == "77"
    assert page.locator(".measured:visible select").input_value() == "2"
    with Logbook.open(served.path) as log:
        found = [one.record for one in log.current("measurement")]
    assert [(one.thing, one.value, one.unit) for one in found] == [("hook, held", 600.0, "N")]
    assert found[0].how.startswith("proving with ")
    assert unusable(page) == [] and page.evaluate(SMALL) == [] and page.said == []
    page.context.close()
