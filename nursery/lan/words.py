"""How to trust the site's certificate, step by step; said by the plain page and by the shed alike.

Menus as of Android 11 and later and iOS 17 and later; makers word them a little differently.
"""

from nursery.sentences import later

WHY = later(
    "A phone keeps an app for use without signal only when it comes by https, from a server that it "
    "trusts. This server is your own, on your own network, so no company vouches for it: you do, once"
    " on each phone."
)
SCOPE = later(
    "The certificate can vouch for this nursery's server only: private addresses, .local and this "
    "machine's name. It cannot vouch for any site on the internet."
)
ANDROID = (
    later("Download the certificate."),
    later(
        "Open Settings, search for “CA certificate”, and choose Install a certificate, CA "
        "certificate, Install anyway. The warning is right in general; read below what this one can "
        "and cannot do."
    ),
    later("Choose the file misho.cer from the downloads."),
    later("Compare the fingerprint: Settings, Trusted credentials, User."),
    later("Open the shed's address in Chrome, then install the app from its menu."),
)
IPHONE = (
    later("Download the certificate in Safari and allow the profile."),
    later("Open Settings, General, VPN & Device Management, choose the profile, and install it."),
    later("Compare the fingerprint under More Details."),
    later(
        "Open Settings, General, About, Certificate Trust Settings, and switch the certificate on. "
        "Without this step the phone still refuses."
    ),
    later("Open the shed's address in Safari, then Share, Add to Home Screen."),
)
STRANDS = later(
    "Use one address and stay with it: what a phone has not yet handed over belongs to the address it"
    " was recorded under. Hand everything over before you change the address."
)
COMPARE = later(
    "This page came by plain http, which others on the network could change. So compare the fingerprint on "
    "the phone with the one on the shed's own screen (Phones, Trust) before you install. Here it reads:"
)
#: Of the plain page alone.
TITLE = later("Misho: the way in")
HEADING = later("First trust this server, then open the shed")
DOWNLOAD = later("Download the certificate")
TRUST_IT = later("Trust it by the steps below.")
OPEN = later("Open the shed:")
WHY_HEAD = later("Why")
SCOPE_HEAD = later("What you trust")
ON_ANDROID = later("On Android")
ON_IPHONE = later("On an iPhone")
