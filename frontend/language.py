"""Which language a page is in: the cookie of the switch at its foot, else what the browser asks for."""

from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.cache import patch_vary_headers


class Language(LocaleMiddleware):
    """As Django's, which names Accept-Language in Vary; the cookie decides too, so it is named as well."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        answer: HttpResponseBase = super().process_response(request, response)
        patch_vary_headers(answer, ("Cookie",))
        return answer
