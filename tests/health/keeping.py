"""What is wrong with an answer: headers that are missing, or content that comes from elsewhere."""

import re

_FOREIGN = re.compile(r"""(?:src|href|action|srcset|poster|data)=["'](?:[a-z]+:)?//(?!testserver)""")
_REQUIRED = {
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def faults(response):
    """Return what is wrong with an answer's headers, or with where it sends the browser for more."""
    found = [name for name, value in _REQUIRED.items() if response.headers.get(name) != value]
    policy = response.headers.get("Content-Security-Policy", "")
    if "default-src 'none'" not in policy or re.search(r"unsafe|https?:|data:|\*", policy):
        found.append("policy")
    if "camera=()" not in response.headers.get("Permissions-Policy", ""):
        found.append("Permissions-Policy")
    if "private" not in response.headers.get("Cache-Control", ""):
        found.append("Cache-Control")
    if response.headers.get("Content-Type", "").startswith("text/html") and _FOREIGN.search(
        response.content.decode()
    ):
        found.append("foreign content")
    return found
