"""One address answers with a page or a fragment, and says so to caches."""

import pytest
from django import forms
from django.http import HttpResponse
from django.test import RequestFactory

from household.kit.content_policy import POLICY, ContentPolicyMiddleware
from household.kit.errors import Conflict, HouseholdError, NotAllowed, Refused
from household.kit.pages import go_to, render_error, render_page, wants_fragment
from household.kit.paging import page_of

HTMX = {"HX-Request": "true"}


class Name(forms.Form):
    name = forms.CharField()


def test_htmx_gets_the_fragment_and_a_browser_the_page() -> None:
    page, part = "parts/_hatches.html", "parts/_symbols.html"
    whole = render_page(RequestFactory().get("/"), page, fragment=part)
    fragment = render_page(RequestFactory().get("/", headers=HTMX), page, fragment=part)
    assert b"hatch-blue" in whole.content
    assert b"yes-disc" in fragment.content
    assert whole["Vary"] == fragment["Vary"] == "HX-Request"


@pytest.mark.parametrize(
    "header", ["HX-Boosted", "HX-History-Restore-Request"], ids=["boosted", "restored"]
)
def test_whole_pages_stay_whole(header: str) -> None:
    assert not wants_fragment(RequestFactory().get("/", headers={**HTMX, header: "true"}))


def test_a_refused_form_answers_422_and_an_untouched_one_200() -> None:
    def status(form: forms.Form) -> int:
        request = RequestFactory().get("/")
        return render_page(request, "parts/_symbols.html", {"form": form}).status_code

    assert status(Name({"name": ""})) == 422
    assert status(Name({"name": "Bea"})) == 200
    assert status(Name()) == 200


def test_after_a_change_both_go_to_the_same_place() -> None:
    plain = go_to(RequestFactory().post("/"), "/there/")
    scripted = go_to(RequestFactory().post("/", headers=HTMX), "/there/")
    assert (plain.status_code, plain["Location"]) == (302, "/there/")
    assert (scripted.status_code, scripted["HX-Redirect"]) == (204, "/there/")


@pytest.mark.parametrize(("error", "status"), [(Refused, 422), (NotAllowed, 403), (Conflict, 409)])
def test_a_refusal_says_its_sentence(error: type[HouseholdError], status: int) -> None:
    request = RequestFactory().post("/", headers=HTMX)
    answer = render_error(request, error("Ilo did <this> already."))
    assert answer.status_code == status
    assert b"Ilo did &lt;this&gt; already." in answer.content


def test_every_answer_carries_the_policy_unless_a_view_set_its_own() -> None:
    request = RequestFactory().get("/")
    usual = ContentPolicyMiddleware(lambda _: HttpResponse())(request)
    own = ContentPolicyMiddleware(
        lambda _: HttpResponse(headers={"Content-Security-Policy": "sandbox"})
    )(request)
    assert usual.headers["Content-Security-Policy"] == POLICY
    assert own.headers["Content-Security-Policy"] == "sandbox"
    assert "unsafe" not in POLICY


def test_pages_know_their_neighbours_and_keep_the_filter() -> None:
    request = RequestFactory().get("/list/?area=2&page=2")
    page = page_of(request, list(range(120)), size=50)
    assert (page.rows[0], page.number, page.count, page.total) == (50, 2, 3, 120)
    assert page.newer == "/list/?area=2&page=1"
    assert page.older == "/list/?area=2&page=3"


def test_a_page_out_of_range_gives_the_nearest() -> None:
    last = page_of(RequestFactory().get("/?page=99"), [1, 2, 3], size=2)
    first = page_of(RequestFactory().get("/?page=first"), [1, 2, 3], size=2)
    assert (last.number, last.older) == (2, "")
    assert (first.number, first.newer) == (1, "")
