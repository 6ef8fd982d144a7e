"""Who is let in, what an error looks like to a browser and to a program, and what is sent along."""

from __future__ import annotations

import json
import logging

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import Client, RequestFactory
from django.urls import path

from inchwater import errors
from inchwater.app import urls as root
from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmOfRequest
from inchwater.app.firms.models import Firm, User
from inchwater.app.firms.services import make_local_firm, set_units
from inchwater.app.visits import services

pytestmark = pytest.mark.django_db

HTML = {"HTTP_ACCEPT": "text/html,application/xhtml+xml"}
JSON = {"HTTP_ACCEPT": "application/json"}
HTMX = {"HTTP_HX_REQUEST": "true"}
SECRET = "the engine's inner words"

WORDS = {"where": "runs[3].diameter", "came": "6.0 m", "right": "0.08 to 0.56 m", "do": "Look."}
KINDS = {
    errors.InputError: 422,
    errors.FormatError: 400,
    errors.TableError: 422,
    errors.DoubtError: 422,
    errors.OutsideTableError: 422,
    errors.PartError: 422,
    errors.UnknownNameError: 404,
    errors.ConvergenceError: 422,
    errors.NotPossibleError: 422,
    services.NotYetError: 422,
}


def raising(error):
    """A view that raises."""

    def view(request):
        raise error

    return view


urlpatterns = [
    *root.urlpatterns,
    *(path(f"raise/{kind.__name__}/", raising(kind(**WORDS))) for kind in KINDS),
    path("raise/fault/", raising(RuntimeError(SECRET))),
]
handler400, handler403 = root.handler400, root.handler403
handler404, handler500 = root.handler404, root.handler500


@pytest.fixture
def browser(settings):
    """A browser on this machine that meets the addresses above."""
    settings.ROOT_URLCONF = __name__
    return Client(raise_request_exception=False)


def test_every_kind_of_error_has_its_status_here():
    """A new kind of error cannot be forgotten; the prompt's own never reach a page."""

    def below(kind):
        return {kind}.union(*(below(one) for one in kind.__subclasses__()))

    ours = {
        one
        for one in below(errors.InchwaterError)
        if one.__module__.startswith("inchwater") and "inchwater.cli" not in one.__module__
    }
    assert ours - {errors.InchwaterError} <= set(KINDS)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_an_error_of_ours_is_an_answer_in_words(browser, kind):
    """The same four fields as page, fragment and JSON; the status by kind."""
    error = kind(**WORDS)
    assert status_of(error) == KINDS[kind]
    address = f"/raise/{kind.__name__}/"
    page = browser.get(address, **HTML)
    assert page.status_code == KINDS[kind]
    assert page["Content-Type"].startswith("text/html")
    text = page.content.decode()
    for word in (error.where, error.came, error.do):
        assert word in text
    fragment = browser.get(address, **HTML, **HTMX)
    assert fragment.status_code == KINDS[kind]
    assert "<html" not in fragment.content.decode()
    assert error.came in fragment.content.decode()
    document = browser.get(address, **JSON)
    assert document.status_code == KINDS[kind]
    assert document.json() == error.to_dict()


@pytest.mark.parametrize("accept", [HTML, JSON, {**HTML, **HTMX}], ids=["page", "json", "htmx"])
def test_a_fault_of_ours_tells_no_trace_and_is_logged(browser, caplog, accept):
    """500 with what to do; the reason and the trace are for the log alone."""
    with caplog.at_level(logging.ERROR):
        response = browser.get("/raise/fault/", **accept)
    assert response.status_code == 500
    text = response.content.decode()
    for hidden in (SECRET, "Traceback", "RuntimeError", ".py"):
        assert hidden not in text
    assert "If it comes back, the log has the time and the reason." in text
    (record,) = [one for one in caplog.records if one.name == "inchwater.app"]
    assert record.getMessage() == "GET /raise/fault/ failed"
    assert SECRET in str(record.exc_info[1])


@pytest.mark.parametrize("address", ["/nothing/", "/visits/no-id/", "/static/none.css"])
def test_an_address_that_leads_nowhere_is_told(browser, address):
    """404 in our words, as a page and as JSON."""
    page = browser.get(address, **HTML)
    assert page.status_code == 404
    assert "an address that leads nowhere" in page.content.decode()
    document = browser.get(address, **JSON)
    assert document.status_code == 404
    assert document.json()["error"]["where"] == address


@pytest.mark.parametrize("peer", ["192.168.1.20", "10.0.0.7", "8.8.8.8", "fe80::1", "", "unix:"])
def test_in_local_mode_nobody_else_is_let_in(browser, peer):
    """Without sign-in only this machine is answered; anyone else gets 403 with the reason."""
    response = browser.get("/", REMOTE_ADDR=peer, **JSON)
    assert response.status_code == 403
    assert response.json()["error"] == {
        "kind": "InchwaterError",
        "where": "your address",
        "came": peer or "no address",
        "right": "this program serves the person at this machine only, without sign-in",
        "do": "Open it in a browser on the machine on which it runs.",
    }
    assert Firm.objects.count() == 0


@pytest.mark.parametrize("peer", ["127.0.0.1", "127.5.5.5", "::1", "::ffff:127.0.0.1"])
def test_this_machine_is_let_in(browser, peer):
    """Every loopback address is this machine."""
    assert browser.get("/", REMOTE_ADDR=peer).status_code == 200


@pytest.mark.parametrize("header", ["X-Forwarded-For", "X-Real-IP", "Forwarded"])
def test_no_header_stands_in_for_the_address(browser, header):
    """A stranger cannot say to be this machine."""
    response = browser.get("/", REMOTE_ADDR="192.168.1.20", headers={header: "127.0.0.1"})
    assert response.status_code == 403


@pytest.mark.parametrize("host", ["evil.example", "inchwater.local", "192.168.1.20:8000"])
def test_only_loopback_names_are_answered(browser, host):
    """A foreign page that points its own name at this machine reads nothing."""
    response = browser.get("/", headers={"host": host}, **HTML)
    assert response.status_code == 400
    assert "a request that cannot be read" in response.content.decode()


def test_local_mode_is_a_real_firm_and_person_and_says_so(browser):
    """The first request makes them once; pages say that nobody signs in."""
    page = browser.get("/")
    firm = Firm.objects.get(local=True)
    assert page.wsgi_request.firm == firm
    assert page.wsgi_request.user == User.objects.get(username="local")
    assert not page.wsgi_request.user.has_usable_password()
    assert page.context["local_mode"] is True
    browser.get("/")
    assert (Firm.objects.count(), User.objects.count()) == (1, 1)


def test_units_are_the_persons_own(browser):
    """The choice is kept with the membership and is on the next request."""
    firm, user = make_local_firm()
    assert browser.get("/").wsgi_request.units == "ip"
    set_units(firm, user, "si")
    assert browser.get("/").wsgi_request.units == "si"
    with pytest.raises(errors.UnknownNameError) as caught:
        set_units(firm, user, "furlongs")
    assert str(caught.value) == ("units: 'furlongs' came; unit systems are ip (inch-pound) and si.")


def test_a_form_without_its_token_is_refused(settings):
    """Another site cannot post into these records."""
    strict = Client(enforce_csrf_checks=True)
    response = strict.post("/visits/new/", **JSON)
    assert response.status_code == 403
    assert response.json()["error"]["came"] == "no token of this page"
    firm, _ = make_local_firm()
    assert services.open_visits(firm) == []


def test_a_huge_upload_is_refused_before_it_is_read(browser):
    """413 by its announced length; the words say what would be right."""
    response = browser.post(
        "/visits/upload/", b"", content_type="text/csv", CONTENT_LENGTH=str(50 * 2**20), **JSON
    )
    assert response.status_code == 413
    assert response.json()["error"] == {
        "kind": "InchwaterError",
        "where": "the upload",
        "came": "50 MB",
        "right": "a blower table or a job has at most 4 MB",
        "do": "Choose the file again; what you typed is kept.",
    }


def test_what_every_answer_carries(browser):
    """Headers that keep other sites, frames and guessed types out."""
    response = browser.get("/")
    assert response["X-Frame-Options"] == "DENY"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Referrer-Policy"] == "same-origin"
    assert response["Cross-Origin-Opener-Policy"] == "same-origin"
    policy = response["Content-Security-Policy"]
    assert "script-src 'self';" in policy
    assert "default-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy


def test_htmx_is_served_by_the_application_itself(browser):
    """No page needs another host: the script comes from the installed package, in one piece."""
    response = browser.get("/static/django_htmx/htmx-2.min.js")
    assert response.status_code == 200
    assert not response.streaming
    assert len(response.content) > 30_000
    assert "Access-Control-Allow-Origin" not in response


@pytest.fixture
def served(settings):
    """The middleware in the mode in which people sign in, and the requests that it let through."""
    settings.LOCAL_MODE = False
    through = []

    def ask(user):
        request = RequestFactory().get("/", REMOTE_ADDR="192.168.1.20", **JSON)
        request.user = user
        return FirmOfRequest(lambda one: through.append(one))(request)

    ask.through = through
    return ask


def test_with_sign_in_nobody_comes_in_without(served):
    """A request without a person, or with one of no firm, is refused before any view."""
    for user in (AnonymousUser(), User.objects.create(username="nowhere")):
        response = served(user)
        assert response.status_code == 403
        assert json.loads(response.content)["error"]["came"] == "nobody who is signed in"
    assert served.through == []
    assert Firm.objects.count() == 0


def test_with_sign_in_a_person_is_in_their_firm(served, firm, other_firm):
    """The firm and the units are those of the person's membership."""
    user = User.objects.get(username="other technician")
    set_units(other_firm, user, "si")
    served(user)
    (request,) = served.through
    assert (request.firm, request.units, request.local_mode) == (other_firm, "si", False)
