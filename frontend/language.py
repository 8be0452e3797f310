"""Which language a page is in: the cookie of the switch at its foot, else what the browser asks for."""

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.cache import patch_vary_headers

#: Addresses of programs: a phone says in each request which language its app is in.
PROGRAMS = "/api/"


class Language(LocaleMiddleware):
    """As Django's, which names Accept-Language in Vary; the cookie decides too, so it is named as well."""

    def process_request(self, request: HttpRequest) -> None:
        if request.path_info.startswith(PROGRAMS):
            # The choice made for the pages of the same browser must not change the app's.
            request.COOKIES.pop(settings.LANGUAGE_COOKIE_NAME, None)
        super().process_request(request)

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        answer: HttpResponseBase = super().process_response(request, response)
        patch_vary_headers(answer, ("Cookie",))
        return answer
