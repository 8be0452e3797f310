"""Whether what the nursery learned of its own wires and trunks holds."""

from nursery.models import GrowthFit, WireFit
from nursery.sentences import said


def unsettled() -> dict[str, str]:
    """What did not settle, "wire" and "trunk", with what stands in. Two queries; empty where all is well."""
    out = {}
    if WireFit.objects.filter(converged=False).exists():
        out["wire"] = said(
            "The figures of your own wires do not settle: their days are reckoned by practice, not by what "
            "was learned here. Go by your eyes, and look early."
        )
    if GrowthFit.objects.filter(converged=False).exists():
        out["trunk"] = said(
            "The figures of your own trunks do not settle: the spread of each forecast is that of practice, "
            "not learned here."
        )
    return out
