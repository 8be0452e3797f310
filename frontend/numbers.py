"""Numbers as the reader writes them."""

from decimal import Decimal

from django.utils.formats import number_format
from django.utils.functional import lazy


def plain(value: float) -> str:
    """A number to six digits without needless noughts: 18.2, in German 18,2."""
    return number_format(Decimal(f"{value:g}"), use_l10n=True)


#: The same, written when it is shown: for texts that are made before anybody asks.
plain_later = lazy(plain, str)
