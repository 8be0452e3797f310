"""/api/schema: what this API takes and gives, as OpenAPI."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.views import SpectacularAPIView

from api.authentication import COOKIE


class PhoneScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the schema tells of the phone's cookie."""

    target_class = "api.authentication.PhoneAuthentication"
    name = "phone"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": COOKIE}


class Schema(SpectacularAPIView):
    """Public; JSON unless YAML is asked for."""

    authentication_classes = []
    renderer_classes = [OpenApiJsonRenderer2, OpenApiJsonRenderer, OpenApiYamlRenderer]

    def finalize_response(self, request: Any, response: Any, *args: Any, **kwargs: Any) -> Any:
        done = super().finalize_response(request, response, *args, **kwargs)
        done.headers["Cache-Control"] = "no-store"
        return done
