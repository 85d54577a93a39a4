"""Text made harmless for the page, the Markdown file and the table it is written into."""

import html
import re
import unicodedata

_MARKDOWN = re.compile(r"([\\`*_{}\[\]()#+\-.!|~$=:@^\"'])")
# A spreadsheet may split at these, whatever the quote marks of a table with commas say.


def _printable(text: str) -> str:
    """Drop control characters, and those that turn the direction of reading, but keep line ends."""
    whole = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        letter
        for letter in whole
        if letter in "\n\t"
        or (unicodedata.category(letter) not in ("Cc", "Cs") and not _turns(letter))
    )


def _turns(letter: str) -> bool:
    return letter in "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def for_html(text: str) -> str:
    """Return text for inside an element or a quoted attribute of a page.

    >>> for_html('<script>"5 & 6"</script>')
    '&lt;script&gt;&quot;5 &amp; 6&quot;&lt;/script&gt;'
    """
    return html.escape(_printable(text), quote=True)


def for_html_paragraph(text: str) -> str:
    """Return text for a page with its line ends kept as line breaks.

    >>> for_html_paragraph("one\\ntwo")
    'one<br>two'
    """
    return for_html(text).replace("\n", "<br>")


def for_markdown(text: str) -> str:
    """Return text for one line of a Markdown file, shown as it was typed.

    Every character with a meaning in Markdown is set off by a backslash, and the three of HTML are
    written as entities, so that neither a tag, a link, a heading nor a formula comes of it. Line
    ends become the two-character mark " /".

    Source: CommonMark 0.31, section 2.4, backslash escapes.

    >>> print(for_markdown("<b>*new* rope</b>"))
    &lt;b&gt;\\*new\\* rope&lt;/b&gt;
    """
    plain = html.escape(_printable(text), quote=False).replace("\t", " ")
    marked = _MARKDOWN.sub(r"\\\1", plain)
    return " / ".join(part.strip() for part in marked.split("\n"))


def for_terminal(text: str) -> str:
    """Return text for one line of a terminal: what would steer it is written out.

    >>> for_terminal("red " + chr(27) + "[31m")
    'red \\\\x1b[31m'
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ").split("\n")
    return " / ".join(
        "".join(
            f"\\x{ord(letter):02x}"
            if unicodedata.category(letter) in ("Cc", "Cs") or _turns(letter)
            else letter
            for letter in line
        )
        for line in lines
    )
