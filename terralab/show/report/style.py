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
h1, h2, h3, p, li, dd, td, th { overflow-wrap: break-word; }
p, li, dd { max-width: 46rem; }
a { color: var(--accent); }
.quiet, figcaption, caption { color: var(--quiet); }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0.2rem 1.2rem; }
.answer { background: var(--mark); color: var(--text); padding: 0.6rem 0.9rem; font-size: 1.15rem; font-weight: 600; }
.first { border: 3px solid var(--text); padding: 0.4rem 0.9rem; margin: 0.8rem 0; }
.first h2, .first h3 { margin: 0; color: inherit; }
.first ul { margin: 0.3rem 0; }
#answer h2 { margin-top: 1.2rem; }
figure { margin: 1rem 0; }
img { display: block; width: 100%; max-width: 50rem; height: auto; background: #ffffff; padding: 0.5rem; box-sizing: border-box; }
.wide { overflow-x: auto; margin: 1.2rem 0; }
table { border-collapse: collapse; width: 100%; font-size: 0.9rem; }
caption { text-align: left; padding-bottom: 0.4rem; }
th, td { border: 1px solid var(--line); padding: 0.3rem 0.5rem; text-align: left; vertical-align: top; }
thead th { background: var(--head); }
tbody th { font-weight: 600; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; }
tr.chosen th, tr.chosen td { background: var(--mark); }
.tick { display: inline-block; width: 0.8em; height: 0.8em; border: 1.5px solid var(--text); vertical-align: -0.05em; margin-right: 0.25em; }
.ticks { list-style: none; padding: 0; }
.week td { height: 2.6em; }
details { margin: 1rem 0; }
summary { cursor: pointer; color: var(--accent); }
"""

# Sizes in points: no letters on paper are smaller than 9, and those of a picture, 9.5 on its 8 inches, not much.
_PAPER = """
@page { size: PAPER; margin: 10mm 12mm; }
@media print {
  html { font: 10pt/1.3 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", sans-serif; }
  body { max-width: none; padding: 0; }
  nav, .screen, #used { display: none; }
  a { color: inherit; text-decoration: none; }
  p, li, dd { max-width: none; orphans: 3; widows: 3; margin: 0.35em 0; }
  ul, ol { margin: 0.35em 0; padding-left: 1.5em; }
  h2 { font-size: 14pt; margin: 0.8em 0 0.25em; }
  h3 { font-size: 11pt; margin: 0.8em 0 0.2em; }
  h1, h2, h3, .lead { break-after: avoid; break-inside: avoid; }
  figure, table, tr, .first { break-inside: avoid; }
  thead { display: table-header-group; break-after: avoid; }
  tbody tr:first-child { break-before: avoid; break-after: avoid; }
  table, figcaption, caption, .quiet { font-size: 9pt; line-height: 1.25; }
  th, td { padding: 0.15em 0.35em; }
  .wide { overflow: visible; margin: 0.6em 1px 0.6em 0; }
  figure { margin: 0.6em 0; }
  img { width: 100%; max-width: none; padding: 0; }
  .answer { border: 1pt solid var(--text); font-size: 13pt; padding: 0.3em 0.6em; margin: 0.5em 0; }
  .first { border-width: 2pt; padding: 0.3em 0.6em; margin: 0.5em 0; }
  .first h2, .first h3 { font-size: 11pt; }
  .sheet { break-after: page; box-sizing: border-box; }
  #answer { height: 100vh; display: flex; flex-direction: column; }
  #answer > * { flex: none; }
  #answer h1 { font-size: 20pt; margin: 0; }
  #answer h2 { font-size: 13pt; margin: 0.4em 0 0.1em; }
  #answer table { font-size: 10pt; }
  #answer th:first-child { width: 13%; }
  #answer td:nth-child(2) { width: 25%; }
  #answer td:nth-child(3) { width: 29%; }
  #answer figure { flex: 0 1 auto; min-height: 0; aspect-ratio: var(--shape); margin: 2mm 0 0; position: relative; }
  #answer figcaption { display: none; }
  #answer img { position: absolute; inset: 0; width: 100%; height: 100%; max-height: none; object-fit: contain; object-position: left top; }
  #plan, #plan table { font-size: 12pt; }
  #plan .timers, #plan.many, #plan.many table { font-size: 10pt; }
  #plan h2 { font-size: 20pt; margin-top: 0; }
  .week { table-layout: fixed; }
  .week th, .week td { box-sizing: border-box; }
  .week td { height: 3.2em; }
  .many .week td { height: 2em; }
  .many .week td:nth-child(n + 2), .many .first { font-size: 9pt; }
  .week th:first-child { width: 19%; }
  .week th:nth-child(2) { width: 19%; }
  .week td:nth-child(2) { font-size: 10pt; }
  .week th:nth-child(n + 3) { width: 8.85%; }
  .week td:nth-child(n + 3) { font-size: 10pt; padding: 0.15em 0.2em; }
  .week td .tick { display: block; }
  .many .week td .tick { display: inline-block; }
  details { display: none; }
  #appendix { columns: 2; column-gap: 6mm; font: 9pt/1.09 "Arial Narrow", "Liberation Sans Narrow", "Helvetica Neue", Arial, sans-serif; }
  #appendix h2 { font-size: 11pt; margin: 0.6em 0 0.15em; }
  #appendix h3 { font-size: 9.5pt; margin: 0.4em 0 0.05em; }
  #appendix p, #appendix li { margin: 0.05em 0; orphans: 2; widows: 2; }
  #appendix ul { padding-left: 1.2em; }
}
"""


def css(us: bool = False) -> str:
    """The whole style sheet of a report, for the paper that is usual where units are metric, or `us`."""
    colours = lambda named: " ".join(f"--{name}: {value};" for name, value in named.items())  # noqa: E731
    # paper is white whatever the screen is, so the dark colours are for screens only
    return (
        f":root {{ {colours(LIGHT)} }}\n"
        f"@media screen and (prefers-color-scheme: dark) {{ :root {{ {colours(DARK)} }} }}\n{_RULES}"
        f"{_PAPER.replace('PAPER', 'letter' if us else 'A4')}"
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
