"""How the report looks: its colours by day, by dark screen and on paper, as CSS.

Every colour is named here once. `PAIRS` says which stands on which, and a test computes their contrast by the formula of
the Web Content Accessibility Guidelines 2.1 (W3C 2018), which ask for 4.5 to 1 for text (level AA).
"""

from __future__ import annotations

LIGHT = {
    "page": "#ffffff",
    "text": "#1c1c1c",
    "quiet": "#565656",
    "accent": "#25573a",
    "line": "#7d7d7d",
    "head": "#e9f0eb",
    "mark": "#fdf3d3",
}
DARK = {
    "page": "#15181a",
    "text": "#ececec",
    "quiet": "#bdbdbd",
    "accent": "#a5d6b4",
    "line": "#8a8a8a",
    "head": "#22302a",
    "mark": "#3a3212",
}
#: (colour of the letters, what they stand on)
PAIRS = (
    ("text", "page"), ("quiet", "page"), ("accent", "page"), ("text", "head"), ("accent", "head"), ("text", "mark"),
)  # fmt: skip
#: A line is no text, and 3 to 1 is asked for it.
LINES = (("line", "page"),)

_RULES = """
html { font: 17px/1.5 system-ui, "DejaVu Sans", Arial, sans-serif; color-scheme: light dark; }
body { margin: 0 auto; padding: 1rem 1.2rem 3rem; max-width: 60rem; background: var(--page); color: var(--text); }
h1 { font-size: 1.9rem; line-height: 1.2; margin: 0.4rem 0; }
h2 { font-size: 1.35rem; line-height: 1.25; margin: 2.4rem 0 0.6rem; color: var(--accent); }
h3 { font-size: 1.05rem; margin: 1.4rem 0 0.4rem; }
p, li, dd { max-width: 46rem; }
a { color: var(--accent); }
.quiet, figcaption, caption { color: var(--quiet); }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0.2rem 1.2rem; }
dl { display: grid; grid-template-columns: 11rem 1fr; gap: 0.5rem 1rem; }
dt { font-weight: 600; }
dd { margin: 0; }
@media (max-width: 36rem) { dl { display: block; } dd { margin-bottom: 0.7rem; } }
.answer { background: var(--mark); color: var(--text); padding: 0.6rem 0.9rem; font-size: 1.15rem; font-weight: 600; }
figure { margin: 1rem 0; }
img { display: block; width: 100%; max-width: 50rem; height: auto; background: #ffffff; }
.wide { overflow-x: auto; margin: 1.2rem 0; }
table { border-collapse: collapse; width: 100%; font-size: 0.9rem; }
caption { text-align: left; padding-bottom: 0.4rem; }
th, td { border: 1px solid var(--line); padding: 0.3rem 0.5rem; text-align: left; vertical-align: top; }
thead th { background: var(--head); }
tbody th { font-weight: 600; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; }
tr.chosen th, tr.chosen td { background: var(--mark); }
"""

_PAPER = """
@page { margin: 14mm; }
@media print {
  html { font-size: 10.5pt; }
  body { max-width: none; padding: 0; }
  nav { display: none; }
  a { color: inherit; text-decoration: none; }
  h2, h3 { break-after: avoid; }
  table, figure, dl { break-inside: avoid; }
  #used table, #fans table { break-inside: auto; font-size: 8pt; }
  tr { break-inside: avoid; }
  thead { display: table-header-group; }
  #plan, #used { break-before: page; }
  #plan { break-after: page; }
  #plan table { font-size: 11pt; }
  #plan td { height: 2.1em; }
  img { max-height: 235mm; width: auto; max-width: 100%; }
  .wide { overflow: visible; }
}
"""


def css() -> str:
    """The whole style sheet of a report."""
    colours = lambda named: " ".join(f"--{name}: {value};" for name, value in named.items())  # noqa: E731
    # paper is white whatever the screen is, so the dark colours are for screens only
    return (
        f":root {{ {colours(LIGHT)} }}\n"
        f"@media screen and (prefers-color-scheme: dark) {{ :root {{ {colours(DARK)} }} }}\n{_RULES}{_PAPER}"
    )


def contrast(one: str, other: str) -> float:
    """How well one colour stands out from another, 1 to 21 (Web Content Accessibility Guidelines 2.1, W3C 2018).

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
