"""Where links of a page in Markdown lead."""

import re


def anchors(page):
    """Names of a page's headings, as whoever shows it links to them."""
    headings = re.findall(r"^#+ (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", each.lower()).replace(" ", "-") for each in headings}


def broken(page):
    """Targets of a page's links that are not there."""
    out = []
    for target in re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8")):
        if "://" in target:
            continue
        path, _, anchor = target.partition("#")
        other = (page.parent / path).resolve() if path else page
        if not other.exists() or (anchor and anchor not in anchors(other)):
            out.append(target)
    return out
