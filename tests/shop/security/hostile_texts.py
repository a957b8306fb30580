"""Sixty texts that somebody could type to make a paper, a page or a sheet do something. Made for a recorder and a local file.

Kinds: the OWASP cheat sheets on cross-site scripting and server-side request forgery (from memory), and what WeasyPrint
70 was seen to fetch when its input was raw.
"""


def hostile(base: str, local: str) -> dict[str, str]:
    """Name and text. `base`: a server that writes down what it is asked; `local`: a file: address nobody may read."""
    loads = {
        "image": "<img src={0}/a.png>", "image set": "<img srcset='{0}/a.png 2x'>", "picture": "<picture><source srcset={0}/a></picture>",
        "style sheet": "<link rel=stylesheet href={0}/a.css>", "icon": "<link rel=icon href={0}/a.ico>", "prefetch": "<link rel=prefetch href={0}/a>",
        "import": "<style>@import url({0}/a.css);</style>", "import bare": "<style>@import '{0}/a.css';</style>",
        "font face": "<style>@font-face{{font-family:X;src:url({0}/a.ttf)}}*{{font-family:X}}</style>",
        "background": "<p style='background:url({0}/a.png)'>x</p>", "list picture": "<li style='list-style:url({0}/a)'>x</li>",
        "content": "<style>p::before{{content:url({0}/a.png)}}</style>", "css url alone": "url({0}/a.png)",
        "object": "<object data={0}/a.svg></object>", "embed": "<embed src={0}/a.svg>", "frame": "<iframe src={0}/a></iframe>",
        "svg image": "<svg xmlns:xlink='http://www.w3.org/1999/xlink'><image xlink:href='{0}/a.png'/></svg>",
        "svg use": "<svg><use href='{0}/a.svg#x'/></svg>", "svg foreign": "<svg><foreignObject><img src={0}/a></foreignObject></svg>",
        "svg in data": "<img src=\"data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'><image href='{0}/a'/></svg>\">",
        "redirect": "<img src={0}/redirect>", "base": "<base href={0}/>", "refresh": "<meta http-equiv=refresh content='0;url={0}/a'>",
        "script": "<script src={0}/a.js></script>", "form": "<form action={0}/a><input name=x></form>", "video": "<video poster={0}/a.png>",
        "link": "<a href={0}/a ping={0}/p>x</a>", "markdown": "![x]({0}/a.png)", "bare address": "{0}/a",
        "entity": "<!DOCTYPE a [<!ENTITY b SYSTEM '{0}/a'>]><a>&b;</a>", "stylesheet line": "<?xml-stylesheet href='{0}/a.xsl'?>",
    }  # fmt: skip
    reads = {
        "local image": "<img src={0}>", "local attachment": "<link rel=attachment href={0}>", "local link": "<a rel=attachment href={0}>x</a>",
        "local object": "<object data={0}></object>", "local import": "<style>@import url({0});</style>", "local frame": "<iframe src={0}></iframe>",
        "local entity": "<!DOCTYPE a [<!ENTITY b SYSTEM '{0}'>]><a>&b;</a>",
        "own scheme": "<img src='font:../../../etc/passwd'><img src='css:../settings'>",
        "template": "{{% include '{0}' %}}{{{{ settings.SECRET_KEY }}}}{{% load static %}}{{% debug %}}",
    }  # fmt: skip
    shapes = {
        "out of an attribute": "\" onerror=\"alert(1)\" x='", "out of a quote": "'><svg onload=alert(1)>", "out of a cell": "</td></tr></table></body>",
        "out of a comment": "--><script>alert(1)</script><!--", "out of a text area": "</textarea></title></style></script><b>x</b>",
        "javascript": "javascript:alert(1)", "javascript hidden": "java\tscript:alert(1)", "data page": "data:text/html,<script>alert(1)</script>",
        "data bomb": "<img src=data:image/png;base64," + "A" * 20_000 + ">", "nested": "<div>" * 400 + "x" + "</div>" * 400,
        "entities": "&lt;img src=x&gt; &#60;img&#62; &amp;amp; &#x0; &#999999999;", "backwards": "\u202e00.12 $\u202c \u2066\u200f\u200e",
        "nul": "a\x00b<img\x00 src=x>", "controls": "".join(map(chr, range(32))), "half a sign": "\ud800x\udfff", "huge word": "W" * 20_000,
        "many lines": "a\n" * 3000, "accents": "e" + "\u0301" * 2000, "no signs": "\u200b" * 500, "formula": "=HYPERLINK(\"http://x\",\"y\")",
        "header": "x\r\nBcc: all@example.com\r\n\r\nHello", "path": "../../../../etc/passwd", "format": "%s%s%n {0} {0.__class__} ${7*7}",
    }  # fmt: skip
    return (
        {name: text.format(base) for name, text in loads.items()}
        | {name: text.format(local) for name, text in reads.items()}
        | shapes
    )
