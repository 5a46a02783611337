"""The page of a film: its pictures and a script that shows one after another. Nothing is fetched; it stands still until Play."""

from __future__ import annotations

import json
from collections.abc import Sequence
from html import escape

# Where a page may not run scripts, as in a notebook that was opened again and is not trusted yet, the note stays.
ASLEEP = "This film is asleep. To wake it, choose Run > Run All Cells. Below is its first picture."
_BUTTON = "min-width:2.6em;min-height:2.2em;font-size:15px"

_PAGE = """<div class="terralab-film" role="group" aria-label="film: water below ground" style="background:#fff;color:#000;padding:8px;max-width:{width}px;font-family:sans-serif;font-size:15px">
<p id="{key}n" style="border-left:4px solid #D55E00;padding:4px 10px;margin:0 0 6px">{asleep}</p>
<img id="{key}i" width="{width}" alt="{alt}" src="data:image/png;base64,{first}" style="width:100%;height:auto;display:block">
<div style="display:flex;flex-wrap:wrap;gap:6px;align-items:center"><button id="{key}p" type="button" aria-label="one moment back" style="{button}">&#9664;&#xFE0E;</button>
<button id="{key}b" type="button" style="{button};min-width:5em">Play</button>
<button id="{key}f" type="button" aria-label="one moment on" style="{button}">&#9654;&#xFE0E;</button>
<input id="{key}s" type="range" min="0" max="{last}" value="0" step="1" aria-label="moment shown" aria-valuetext="{word}" style="flex:1 1 160px;min-width:0">
<span id="{key}w" aria-live="off" style="min-width:8.5em">{word}</span></div>
<div id="{key}t" style="display:grid;grid-template-columns:repeat(auto-fit,minmax(150px,1fr));gap:4px 12px;margin:8px 8px 0;white-space:pre-line">{told}</div>
<script>(function(){{
var p={pictures},w={words},a={alts},l={numbers},t=null,$=function(x){{return document.getElementById("{key}"+x)}};
function show(n){{$("s").value=n=(n+p.length)%p.length;$("i").src="data:image/png;base64,"+p[n];$("i").alt=a[n];$("w").textContent=w[n];
$("s").setAttribute("aria-valuetext",w[n]);l[n].forEach(function(x,k){{$("t").children[k].textContent=x}})}}
function stop(){{clearInterval(t);t=null;$("b").textContent="Play"}}
function step(n){{stop();show(+$("s").value+n)}}
$("n").style.display="none";
$("s").oninput=function(){{step(0)}};
$("p").onclick=function(){{step(-1)}};
$("f").onclick=function(){{step(1)}};
$("b").onclick=function(){{if(t){{stop();return}}if(+$("s").value===p.length-1)show(0);$("b").textContent="Pause";
t=setInterval(function(){{show(+$("s").value+1);if(+$("s").value===p.length-1)stop()}},250)}};
}})();</script></div>"""


def page(
    key: str,
    width: int,
    pictures: Sequence[str],
    words: Sequence[str],
    alts: Sequence[str],
    numbers: Sequence[Sequence[str]],
) -> str:
    """Return the film as HTML: `pictures` are PNGs in base64, `words` say when each of them is, `alts` what it shows.

    `numbers`: for each picture what stands under its parts, text that can be read on a narrow page too.

    `key`: a name that nothing else on the page has; `width`: of a picture on the page [pixels].
    """
    texts = {
        name: json.dumps(list(these)).replace("<", "\\u003c")  # neither an end of the script nor a comment within it
        for name, these in (("pictures", pictures), ("words", words), ("alts", alts), ("numbers", numbers))
    }
    told = "".join(f"<div>{escape(one)}</div>" for one in numbers[0])
    return _PAGE.format(
        key=key, width=width, alt=escape(alts[0]), first=pictures[0], last=len(pictures) - 1, word=escape(words[0]),
        asleep=escape(ASLEEP), told=told, button=_BUTTON, **texts,
    )  # fmt: skip
