"""The report as a PDF, where the optional library ``weasyprint`` and the system libraries it needs are there.

from_html(html)      bytes of the PDF
"""

from woodlot.errors import NoAnswer

__all__ = ["from_html"]

MISSING = (
    "No PDF was made: weasyprint is not here. Install it with  pip install 'woodlot[pdf]'  "
    "(it needs Pango on the machine), or print report.html from a browser."
)


def from_html(html: str) -> bytes:
    """A PDF of a page that fetches nothing.

    Raises
    ------
    NoAnswer
        When weasyprint or one of its system libraries is missing; the message says what to do.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError) as missing:
        raise NoAnswer(MISSING) from missing
    return bytes(HTML(string=html, url_fetcher=_nothing).write_pdf())


def _nothing(url: str, *_: object, **__: object) -> dict:
    """Refuse every fetch."""
    raise ValueError(f"the report fetches nothing, not even {url}")
