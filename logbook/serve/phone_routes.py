"""The addresses of the phone that read and change the book: each behind the door's guard, each change done once.

Every change comes as a form that has a name of its own. A name that the book has is answered as kept and not done
again, so a phone may send what it is not sure of. `Logbook-Kept` names what is on the disk; only then does the page on
the phone forget it.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from logbook.errors import InputError, LogbookError
from logbook.model.photo_edits import photos_of
from logbook.serve.phone_answer import ASKS, PhoneAnswer, PhonePages
from logbook.serve.phone_buying import BuyingPages, version_of_all
from logbook.serve.phone_form import MOST_FORM_BYTES, PhoneForm, read_form
from logbook.serve.phone_page import FILES, file_of, page
from logbook.serve.phone_picture import small_bytes
from logbook.serve.phone_refit import RefitPages
from logbook.serve.phone_saw import SawPages
from logbook.serve.phone_teardown import LinePages
from logbook.session import Session
from logbook.session.faults import written_down
from logbook.session.unit_photos import picture_of

if TYPE_CHECKING:
    from aiohttp import web

SENT_BY_SCRIPT = "Logbook-Sent"
"""The header of what the page's own script sends: it shows the answer itself, and is not led to another address."""
NOT_OF_A_UNIT = ""


@dataclass
class PhoneRoutes:
    """The pages about the book that is open at the bench.

    Args:
        session: the open book; its edits are made in the program's own loop, one after the other.
        bench: the code of the unit that is open at the bench; empty when none is.
        told: told in a sentence what the phone kept, for the message line at the bench.
        allows_reading: whether one more question may be answered now.
        allows_change: whether one more change may be made now.
        say: a plain answer of the door.
        kept_header: the header that names what is on the disk.
        body_seconds: how long a form may take to come in.
    """

    session: Session
    bench: Callable[[], str]
    told: Callable[[str], None]
    allows_reading: Callable[[], bool]
    allows_change: Callable[[], bool]
    say: Callable[[int, str], Any]
    kept_header: str
    body_seconds: float = 20.0
    _web: Any = field(default=None, repr=False)

    def add_to(self, app: web.Application) -> None:
        """Add the addresses to the door's application."""
        from aiohttp import web

        self._web = web
        pages: Mapping[str, PhonePages] = {
            "apart": LinePages(self.session, self.told),
            "back": RefitPages(self.session, self.told),
            "saw": SawPages(self.session, self.told),
        }
        for place, of in pages.items():
            app.router.add_get(f"/{{token}}/{place}", self._chosen(place))
            app.router.add_get(f"/{{token}}/{place}/{{code}}", self._shown(of))
            app.router.add_post(f"/{{token}}/{place}/{{code}}", self._kept(of))
        buying = BuyingPages(self.session, self.told)
        app.router.add_get("/{token}/buy", self._shown(buying))
        app.router.add_post("/{token}/buy", self._kept(buying))
        app.router.add_get("/{token}/version", self._version)
        app.router.add_get("/{token}/version/{code}", self._version)
        app.router.add_get("/{token}/picture/{code}/{file}", self._picture)

    # What comes in

    def _refused(self, request: web.Request) -> Any:
        """The answer to a form of another page, or to something else than a form; None for one of this page."""
        origin = request.headers.get("Origin")
        if origin is not None and origin != f"{request.scheme}://{request.host}":
            return self.say(403, "Another page may not reach the logbook.")
        if request.content_type != "application/x-www-form-urlencoded":
            return self.say(415, "That is not what the page sends. Load it again.")
        return None

    async def _form(self, request: web.Request) -> PhoneForm | Any:
        """The form of a request, or the answer to one that cannot be taken."""
        raw = b""
        try:
            async with asyncio.timeout(self.body_seconds):
                while len(raw) <= MOST_FORM_BYTES and (more := await request.content.read(MOST_FORM_BYTES)):
                    raw += more
        except TimeoutError:
            return self.say(408, "It did not come in time.")
        if len(raw) > MOST_FORM_BYTES:
            return self.say(413, "That is too long.")
        try:
            return read_form(raw)
        except InputError as error:
            return self.say(400, str(error))

    def _kept(self, pages: PhonePages) -> Callable[[web.Request], Awaitable[Any]]:
        """A handler that keeps what a form says, once."""

        async def handle(request: web.Request) -> Any:
            form = self._refused(request) or await self._form(request)
            if not isinstance(form, PhoneForm):
                return form
            if not (self.allows_reading() if form.only_reads else self.allows_change()):
                return self.say(429, "Too much in one minute. It is sent again by itself.")
            try:
                answer = self._answered(request, form, pages)
                return self._made(request, await answer if isinstance(answer, Awaitable) else answer)
            except InputError as error:
                return self.say(ASKS, str(error))
            except LogbookError as error:
                return self.say(507, str(error))
            except Exception as fault:  # noqa: BLE001 - a fault of one page ends neither the program nor the phone
                return self._fault(fault)

        return handle

    def _fault(self, fault: Exception) -> Any:
        """A fault of the program: written down, said at the bench and on the phone, which sends it again."""
        self.told(written_down(fault, self.session.now))
        return self.say(500, "This is a fault of the program, not of yours. The message line at the bench says more.")

    def _answered(
        self, request: web.Request, form: PhoneForm, pages: PhonePages
    ) -> PhoneAnswer | Awaitable[PhoneAnswer]:
        code = request.match_info.get("code", NOT_OF_A_UNIT)
        if code and code not in self.session.codes():
            raise InputError("There is no such unit in this book.")
        if self.session.read_only and not form.only_reads:
            raise InputError(f"Nothing can be kept here. {self.session.why_read_only}")
        return pages.keep(code, form)

    def _made(self, request: web.Request, answer: PhoneAnswer) -> Any:
        """The answer as a page; without a script the browser is led to it, so that loading it again sends nothing."""
        by_script = SENT_BY_SCRIPT in request.headers
        if answer.kept and not by_script:
            then = f"{base_of(request)}{answer.then}" if answer.then else request.path_qs
            made = self._web.Response(status=303, headers={"Location": then})
        else:
            made = self.page(request, answer)
        if answer.kept:
            made.headers[self.kept_header] = answer.kept
        return made

    def page(self, request: web.Request, answer: PhoneAnswer) -> Any:
        """A page, with a policy that lets nothing run but its own scripts."""
        nonce = secrets.token_urlsafe(16)
        policy = (
            f"default-src 'none'; script-src 'nonce-{nonce}'; style-src 'nonce-{nonce}'; connect-src 'self'; "
            "img-src 'self' blob:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
        )
        values = {"said": answer.said, "bad": answer.bad, "id": secrets.token_hex(16), **answer.values}
        return self._web.Response(
            status=answer.status,
            text=page(answer.page, base_of(request), nonce, values),
            content_type="text/html",
            # The origin of a form is told to this server alone: with no-referrer a browser says “null” instead.
            headers={"Content-Security-Policy": policy, "Referrer-Policy": "same-origin"},
        )

    # Which unit

    def _chosen(self, place: str) -> Callable[[web.Request], Awaitable[Any]]:
        """A handler that leads to the unit that is open at the bench, or asks which one is meant."""

        async def handle(request: web.Request) -> Any:
            code, codes = self.bench(), self.session.codes()
            if code not in codes:
                code = codes[0] if len(codes) == 1 else ""
            if code and "all" not in request.query:
                return self._web.Response(status=303, headers={"Location": f"{base_of(request)}/{place}/{code}"})
            units = [(each, self.session.unit(each).name) for each in codes]
            return self.page(request, PhoneAnswer("units", {"place": place, "units": units}))

        return handle

    def _shown(self, pages: PhonePages) -> Callable[[web.Request], Awaitable[Any]]:
        async def handle(request: web.Request) -> Any:
            code = request.match_info.get("code", NOT_OF_A_UNIT)
            if code and code not in self.session.codes():
                return self.say(404, "There is no such unit in this book.")
            try:
                return self.page(request, pages.show(code, request.query))
            except LogbookError as error:
                return self.say(507, str(error))
            except Exception as fault:  # noqa: BLE001 - as above
                return self._fault(fault)

        return handle

    async def _picture(self, request: web.Request) -> Any:
        """A photo of the record, small; its name is looked for in the record and is never a path."""
        code, file = request.match_info["code"], request.match_info["file"]
        if code not in self.session.codes():
            return self.say(404, "There is no such unit in this book.")
        if not self.allows_reading():
            return self.say(429, "Too much in one minute.")
        photo = next((p.photo for p in photos_of(self.session.unit(code)) if p.photo.file == file), None)
        if photo is None:
            return self.say(404, "There is no such photo in this book.")
        try:
            make = picture_of(self.session, code, photo)
            raw = await asyncio.to_thread(small_bytes, make)
        except LogbookError as error:
            return self.say(404, str(error))
        return self._web.Response(body=raw, content_type="image/jpeg")

    async def _version(self, request: web.Request) -> Any:
        """Which change of a unit is the last: the page asks whether it is still the newest."""
        code = request.match_info.get("code", NOT_OF_A_UNIT)
        if not code:
            return self.say(200, str(version_of_all(self.session)))
        if code not in self.session.codes():
            return self.say(404, "There is no such unit in this book.")
        return self.say(200, str(self.session.kept(code).version))


async def send_file(request: web.Request) -> Any:
    """A script or the style of the pages, by its name alone."""
    from aiohttp import web

    name = request.match_info["name"]
    if name not in FILES:
        raise web.HTTPNotFound
    return web.Response(body=file_of(name), content_type=FILES[name], charset="utf-8")


def base_of(request: web.Request) -> str:
    """The address below which everything of the page lies: up to the token."""
    token = request.match_info["token"]
    return request.path.partition(token)[0] + token
