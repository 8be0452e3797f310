from django.http import HttpRequest


def house(request: HttpRequest) -> dict[str, object]:
    return {}
