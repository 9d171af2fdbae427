"""The server of the bay on its socket: who is refused, what is logged, and that it goes on serving."""

from __future__ import annotations

import http.client
import json
import re
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest
import uvicorn
from shopserver import Shop, shop
from walkcases import HandClock

from thermlog.bay import door, guard, serving
from thermlog.bay.guard import MOST_BYTES
from thermlog.bay.serving import LOOPBACK, Speaking, listening, serve
from thermlog.bay.shelf import Shelf
from thermlog.judging.settings import Settings

WALK = "abcdefgh12"


@pytest.fixture
def open_shop(tmp_path):
    with shop(tmp_path / "shop") as one:
        yield one


@pytest.fixture
def coded_shop(tmp_path):
    with shop(tmp_path / "shop", coded=True) as one:
        yield one


def asked(one: Shop, method: str, path: str, body=None, **headers):
    """Status, headers and body of one request, as a page of the server's own would ask."""
    link = http.client.HTTPConnection("127.0.0.1", one.port, timeout=10)
    host = headers.pop("host", f"127.0.0.1:{one.port}")
    own = {"Host": host} | ({"Origin": f"http://{host}"} if method == "POST" else {})
    own |= {name.replace("_", "-"): value for name, value in headers.items()}
    data = body if isinstance(body, (bytes, str)) else None if body is None else json.dumps(body)
    link.request(method, path, data, {name: value for name, value in own.items() if value is not None})
    answer = link.getresponse()
    found = answer.status, dict(answer.getheaders()), answer.read()
    link.close()
    return found


def status(one: Shop, *what, **how) -> int:
    return asked(one, *what, **how)[0]


def serves(one: Shop, **headers) -> bool:
    return status(one, "GET", "/healthy", **headers) == 200


def test_the_page_is_whole_and_its_policy_lets_nothing_else_in(open_shop):
    code, headers, body = asked(open_shop, "GET", "/")
    policy = headers["content-security-policy"]
    assert code == 200
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert re.search(r"script-src 'sha256-[^']+'", policy)
    assert not re.search(rb"(?:src|href)=\"(?!data:|#)", body)
    assert not re.search(rb"<[^>]* (?:style|on[a-z]+)=", body)
    assert (headers["x-content-type-options"], headers["referrer-policy"], headers["cache-control"]) == (
        "nosniff", "no-referrer", "no-store",
    )  # fmt: skip
    assert "server" not in {name.lower() for name in headers}


@pytest.mark.parametrize(
    "path",
    ["/walks/", "/static/", "/..", "/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/docs",
     "/walks/..%2f..%2fetc/log.csv", "//etc/passwd", "/walks/%00/log.csv", "/openapi.json",
     "/walks/abcdefgh12/../../x"],
)  # fmt: skip
def test_nothing_is_listed_and_no_path_leads_out(open_shop, path):
    code, _, body = asked(open_shop, "GET", path)
    assert code in {404, 405, 409, 307}
    assert b"root:" not in body
    assert serves(open_shop)


def test_another_host_name_is_refused_and_logged(open_shop):
    """A page elsewhere whose name was made to point here."""
    assert status(open_shop, "GET", "/", host="evil.example") == 403
    assert status(open_shop, "GET", "/walks", host=f"evil.example:{open_shop.port}") == 403
    assert status(open_shop, "GET", "/", host=f"localhost:{open_shop.port}") == 200
    assert any("not the address of this server" in line for line in open_shop.said)


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": None},
     {"Sec_Fetch_Site": "cross-site"}, {"Sec_Fetch_Site": "same-site"}],
)  # fmt: skip
def test_another_page_can_begin_nothing(open_shop, headers):
    assert status(open_shop, "POST", "/walks", {"walk": WALK}, **headers) == 403
    assert open_shop.logs() == []
    assert any("another page" in line for line in open_shop.said)
    assert status(open_shop, "POST", "/walks", {"walk": WALK}) == 200


def test_another_page_cannot_read_but_a_link_may_lead_here(open_shop):
    assert status(open_shop, "GET", "/walks", Sec_Fetch_Site="cross-site", Sec_Fetch_Mode="cors") == 403
    assert status(open_shop, "GET", "/", Sec_Fetch_Site="cross-site", Sec_Fetch_Mode="navigate") == 200


def test_a_body_beyond_the_limit_is_refused_however_it_comes(open_shop):
    """By its stated length, by what comes, and where two lengths are stated."""
    assert status(open_shop, "POST", "/walks", b"x" * (MOST_BYTES + 1)) == 413
    chunks = b"10000\r\n" + b"x" * 0x10000 + b"\r\n" + b"1\r\nx\r\n0\r\n\r\n"
    assert raw(open_shop, post_head(open_shop) + b"Transfer-Encoding: chunked\r\n\r\n" + chunks).startswith(
        b"HTTP/1.1 413"
    )
    assert (
        b" 400"
        in raw(open_shop, post_head(open_shop) + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}")[:16]
    )
    assert serves(open_shop)
    assert open_shop.logs() == []


def post_head(one: Shop) -> bytes:
    host = f"127.0.0.1:{one.port}"
    return f"POST /walks HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n".encode()


def raw(one: Shop, data: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", one.port), timeout=10) as link:
        link.sendall(data)
        return link.recv(4096)


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b'{"walk": 3}', b'{"walk": "../../x1234567"}', b'{"walk": "abcdefgh12", "more": 1}',
     b'{"walk": "abcdefgh12", "axles": "99"}', b"\xff\xfe",
     b"[" * 30000],
)  # fmt: skip
def test_what_says_nothing_known_begins_nothing(open_shop, body):
    assert status(open_shop, "POST", "/walks", body) in {400, 409}
    assert open_shop.logs() == []
    assert serves(open_shop)


def test_names_with_markup_and_paths_stay_in_the_folder(open_shop):
    name = "<script>../..//etc/x\u202e"
    assert status(open_shop, "POST", "/walks", {"walk": WALK, "vehicle": name}) == 200
    (file,) = open_shop.logs()
    assert file.name == f"script-etc-x-{WALK}.csv"
    assert [path for path in open_shop.folder.parent.rglob("*.csv") if path.parent != open_shop.folder] == []


# ---- slow and many --------------------------------------------------------------------------------------


def test_who_says_nothing_is_hung_up_on_and_others_are_served(open_shop, monkeypatch):
    monkeypatch.setattr(serving, "HEADERS_WITHIN_S", 0.3)
    silent = [socket.create_connection(("127.0.0.1", open_shop.port), timeout=10) for _ in range(20)]
    silent[0].sendall(b"GET / HTTP/1.1\r\nHost:")  # half a request
    began = time.monotonic()
    assert serves(open_shop)
    assert [link.recv(100) for link in silent] == [b""] * 20
    assert time.monotonic() - began < 5.0
    for link in silent:
        link.close()


def test_a_body_that_comes_too_slowly_is_refused(open_shop, monkeypatch):
    monkeypatch.setattr(guard, "BODY_WITHIN_S", 0.3)
    with socket.create_connection(("127.0.0.1", open_shop.port), timeout=10) as link:
        link.sendall(post_head(open_shop) + b"Content-Length: 50\r\n\r\n{")
        assert link.recv(4096).startswith(b"HTTP/1.1 408")
    assert any("too slowly" in line for line in open_shop.said)
    assert serves(open_shop)


def test_a_thousand_requests_are_answered_or_refused_and_it_goes_on_serving(open_shop, monkeypatch):
    """As fast as they can be sent: each gets an answer, the hasty ones 429; a moment later all is well."""
    monkeypatch.setattr(door, "EACH_S", 2.0)
    link = http.client.HTTPConnection("127.0.0.1", open_shop.port, timeout=10)
    found = []
    for _ in range(1000):
        try:
            link.request("GET", "/healthy")
            answer = link.getresponse()
        except (http.client.HTTPException, ConnectionError):  # hung up after a refusal
            link.close()
            continue
        answer.read()
        found.append(answer.status)
    link.close()
    assert set(found) <= {200, 429}
    assert {200, 429} <= set(found)
    assert any("too many requests" in line for line in open_shop.said)
    told = len(open_shop.said)
    time.sleep(1.5)  # two requests a second are forgiven
    assert 0 < told < found.count(429) / 2 + 20  # not a line for each
    assert serves(open_shop)


# ---- codes ----------------------------------------------------------------------------------------------


def test_without_the_code_nothing_but_the_empty_page_is_served(coded_shop):
    assert status(coded_shop, "GET", "/") == 200
    assert status(coded_shop, "GET", "/walks") == 401
    assert status(coded_shop, "POST", "/walks", {"walk": WALK}) == 401
    assert status(coded_shop, "POST", "/knock", {"code": "wrong"}) == 403
    assert coded_shop.logs() == []
    assert any("a code that is wrong" in line for line in coded_shop.said)


def test_a_code_lets_one_guest_in_and_the_next_gets_another(coded_shop):
    code = coded_shop.address.partition("#")[2]
    answer, headers, _ = asked(coded_shop, "POST", "/knock", {"code": code})
    cookie = headers["set-cookie"].partition(";")[0]
    assert answer == 200
    assert {"HttpOnly", "SameSite=strict"} <= {part.strip() for part in headers["set-cookie"].split(";")}
    assert status(coded_shop, "GET", "/walks", Cookie=cookie) == 200
    assert status(coded_shop, "POST", "/knock", {"code": code}) == 403  # it opens once
    (shown,) = coded_shop.shown
    following = shown.rpartition("#")[2]
    assert following != code
    assert status(coded_shop, "POST", "/knock", {"code": following}) == 200


def test_two_codes_open_nothing(coded_shop):
    """Two in one body, two cookies, a cookie sent twice."""
    code = coded_shop.address.partition("#")[2]
    _, headers, _ = asked(coded_shop, "POST", "/knock", {"code": code})
    cookie = headers["set-cookie"].partition(";")[0]
    assert status(coded_shop, "POST", "/knock", '{"code": ["a", "b"]}') == 400
    assert status(coded_shop, "GET", "/walks", Cookie=f"{cookie}; thermlog=x") == 401
    assert status(coded_shop, "GET", "/walks", Cookie=f"thermlog=x; {cookie}") == 401
    for first, second in ((cookie, "a=b"), ("a=b", cookie)):
        host = f"Host: 127.0.0.1:{coded_shop.port}"
        lines = ("GET /walks HTTP/1.1", host, f"Cookie: {first}", f"Cookie: {second}", "", "")
        assert raw(coded_shop, "\r\n".join(lines).encode()).startswith(b"HTTP/1.1 401")
    assert status(coded_shop, "GET", "/walks", Cookie=cookie) == 200


def test_guessing_is_stopped(coded_shop):
    for _ in range(6):
        assert status(coded_shop, "POST", "/knock", {"code": "guess"}) == 403
    code = coded_shop.address.partition("#")[2]
    assert status(coded_shop, "POST", "/knock", {"code": code}) == 403  # even the right one, for a minute
    assert serves(coded_shop)


# ---- the command ----------------------------------------------------------------------------------------


def command(*arguments: str, cwd: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "thermlog", "bay", *arguments], cwd=cwd, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


@pytest.mark.parametrize(("stop", "code"), [(signal.SIGINT, 0), (signal.SIGTERM, 143)])
def test_the_first_line_is_the_address_and_it_ends_cleanly(tmp_path, stop, code):
    child = command(".", "--port", "0", cwd=tmp_path)
    line = child.stdout.readline()
    port = int(re.fullmatch(r"http://127\.0\.0\.1:(\d+)/\n", line)[1])
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    link.request("GET", "/healthy")
    assert link.getresponse().status == 200
    link.close()
    child.send_signal(stop)
    out, err = child.communicate(timeout=20)
    assert (child.returncode, out, "Traceback" in err) == (code, "", False)
    with socket.socket() as free:  # the port is given back
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind(("127.0.0.1", port))
    assert list(tmp_path.iterdir()) == []


def test_to_the_network_the_address_holds_a_code_and_a_square_is_shown(tmp_path):
    child = command(".", "--port", "0", "--lan", "--address", "127.0.0.1", cwd=tmp_path)
    line, square = child.stdout.readline(), child.stderr.readline()
    child.send_signal(signal.SIGINT)
    try:
        child.communicate(timeout=20)
    finally:
        child.kill()
    assert child.returncode == 0
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/#[\w-]{12}\n", line)
    assert set(square.strip()) == {"█"}


def test_an_interruption_that_was_discarded_as_an_exception_still_ends_it(tmp_path, monkeypatch):
    """Python drops exceptions in some places, such as what an object does when it goes."""
    ends = []
    monkeypatch.setattr(uvicorn.Server, "run", lambda self, sockets: ends.append((self.should_exit, sockets)))

    def interrupted(_: str) -> None:
        with suppress(BaseException):
            signal.raise_signal(signal.SIGINT)

    speaking = Speaking(first=interrupted, show=interrupted, log=interrupted)
    opened, shelf = listening(LOOPBACK, 0), Shelf(tmp_path, Settings(), HandClock().clocks())
    serve(shelf, opened, coded=False, speaking=speaking)
    shelf.close()
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    assert ends == [(True, [opened])]


def test_a_port_that_is_taken_is_refused_by_name(tmp_path, open_shop, thermlog):
    ran = thermlog("bay", str(tmp_path), "--port", str(open_shop.port))
    assert (ran.code, ran.out) == (3, "")
    assert f"127.0.0.1 port {open_shop.port}: cannot be served on" in ran.err


@pytest.mark.parametrize(
    ("arguments", "code", "found"),
    [(("nowhere",), 3, "no folder that can be written to"), ((".", "--address", "127.0.0.1"), 2, "--lan"),
     ((".", "--lan", "--address", "203.0.113.9", "--port", "0"), 3, "203.0.113.9 port 0: cannot be served")],
)  # fmt: skip
def test_what_cannot_be_served_is_refused(thermlog, arguments, code, found):
    ran = thermlog("bay", *arguments)
    assert (ran.code, found in ran.err) == (code, True)


def test_without_the_extra_the_cure_is_named(thermlog, monkeypatch):
    monkeypatch.setattr("thermlog.cli.bay.find_spec", lambda name: None if name == "segno" else object())
    ran = thermlog("bay", ".")
    assert (ran.code, "python -m pip install segno" in ran.err) == (3, True)
