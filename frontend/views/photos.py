"""Pictures for signed-in people, and for nobody else."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from frontend.who import needs
from nursery import photos
from nursery.models import PhotoFile
from nursery.people import Action


@require_safe
@needs(Action.READ)
def photo(request: HttpRequest, id: UUID, small: bool = False) -> HttpResponse:
    """The cleaned picture. A browser may keep it, and asks each time whether it still may show it."""
    row = PhotoFile.objects.filter(pk=id, reason="").first()
    if row is None:
        raise Http404
    etag = f'"{row.kept_sha256[:32]}{"s" if small else ""}"'
    try:
        with photos.open_kept(row, small=small) as file:
            answer = HttpResponse(file.read(), content_type="image/jpeg", headers={"ETag": etag})
    except FileNotFoundError:
        raise Http404 from None
    done = get_conditional_response(request, etag=etag, response=answer)
    return answer if done is None else done
