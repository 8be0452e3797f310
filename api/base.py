"""What all views of the API share."""

from typing import Any, ClassVar, NoReturn

from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from rest_framework.exceptions import NotFound
from rest_framework.views import APIView

from api.authentication import renew_cookie
from api.parsing import PhoneParser
from api.permissions import OwnHeader, Paired, RoleMay
from nursery.models import FeedHead
from nursery.people import Action


@method_decorator(gzip_page, name="dispatch")
class ApiView(APIView):
    """JSON both ways, packed when the phone accepts it, kept by no cache on the way."""

    http_method_names = ["get", "head", "post"]
    parser_classes = [PhoneParser]

    def finalize_response(self, request: Any, response: Any, *args: Any, **kwargs: Any) -> Any:
        """Add ``Cache-Control: no-store`` to answers and errors alike."""
        done = super().finalize_response(request, response, *args, **kwargs)
        done.headers["Cache-Control"] = "no-store"
        return done


class PublicView(ApiView):
    """For phones that are not paired yet."""

    authentication_classes = []
    permission_classes = [OwnHeader]


class PhoneView(ApiView):
    """For a paired phone whose role allows what the view ``needs``."""

    needs: ClassVar[Action] = Action.READ
    permission_classes = [Paired, OwnHeader, RoleMay]

    def finalize_response(self, request: Any, response: Any, *args: Any, **kwargs: Any) -> Any:
        done = super().finalize_response(request, response, *args, **kwargs)
        if done.status_code == 200:
            renew_cookie(request, done)
        return done


class Nothing(PublicView):
    """Every other address below /api/, however it is asked."""

    schema = None
    permission_classes = []
    http_method_names = []

    def http_method_not_allowed(self, request: Any, *args: Any, **kwargs: Any) -> NoReturn:
        raise NotFound()


def server_time() -> str:
    """The server's clock, ISO 8601 in UTC to the millisecond, by which a phone learns its own error."""
    return timezone.now().isoformat(timespec="milliseconds").replace("+00:00", "Z")


def epoch() -> str:
    """The feed's epoch: another one means that a backup was restored."""
    return FeedHead.objects.values_list("epoch", flat=True).filter(pk=1).first() or ""
