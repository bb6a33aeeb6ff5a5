"""The look of the summary page: neutral greys, as around any picture that is judged."""

STYLE = """\
:root { --ground: #ebebeb; --card: #ffffff; --text: #1c1c1c; --quiet: #555555; --line: #b9b9b9;
  --mat: #777777; --accent: #2f5a7a; color-scheme: light dark; }
@media (prefers-color-scheme: dark) {
  :root { --ground: #2b2b2b; --card: #363636; --text: #f2f2f2; --quiet: #c4c4c4; --line: #5c5c5c;
    --accent: #a9bfd0; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem; max-width: 76rem; background: var(--ground);
  color: var(--text); font: 1rem/1.45 system-ui, sans-serif; }
h1 { font-size: 1.5rem; margin: 0 0 .5rem; }
h2 { font-size: 1.2rem; margin: 2rem 0 .75rem; }
h3 { font-size: 1rem; margin: 0 0 .25rem; overflow-wrap: anywhere; }
p { margin: 0 0 .4rem; }
a { color: var(--accent); text-underline-offset: .15em; }
a:focus-visible { outline: 2px solid var(--accent); outline-offset: 2px; }
.counts { font-weight: 600; }
.sentence { max-width: 60rem; color: var(--quiet); }
.pending { border-left: .25rem solid var(--line); padding-left: .75rem; }
nav ul { display: flex; flex-wrap: wrap; gap: .25rem 1.5rem; list-style: none; margin: 0;
  padding: 0; }
ol { list-style: none; margin: 0; padding: 0; display: grid; gap: .75rem; }
.card { display: grid; grid-template-columns: 15rem 1fr; background: var(--card);
  border: 1px solid var(--line); border-radius: .25rem; overflow: hidden; }
.picture, .none { background: var(--mat); display: flex; align-items: center;
  justify-content: center; padding: .75rem; min-height: 3rem; }
.picture img { max-width: 100%; max-height: 15rem; width: auto; height: auto; display: block; }
.said { padding: .75rem 1rem; min-width: 0; }
.reason { font-weight: 600; }
.facts { font-size: .875rem; color: var(--quiet); overflow-wrap: anywhere; }
.remarks { margin: 0 0 .4rem; padding-left: 1.1rem; }
dl { display: flex; flex-wrap: wrap; gap: .1rem 1.25rem; margin: 0 0 .4rem; font-size: .875rem; }
dl div { display: flex; gap: .4rem; }
dt { color: var(--quiet); }
dd { margin: 0; font-variant-numeric: tabular-nums; }
.fine ol { grid-template-columns: repeat(auto-fill, minmax(18rem, 1fr)); }
.fine .card { grid-template-columns: 1fr; grid-template-rows: auto 1fr; }
.fine .picture img { max-height: 11rem; }
footer { border-top: 1px solid var(--line); margin-top: 2.5rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-size: .875rem; }
th, td { text-align: left; vertical-align: top; padding: .35rem .75rem .35rem 0;
  border-bottom: 1px solid var(--line); }
thead th { color: var(--quiet); font-weight: 400; }
tbody th { font-weight: 600; }
@media (max-width: 40rem) {
  body { padding: .75rem; }
  .card { grid-template-columns: 1fr; } }
@media print {
  :root { --ground: #fff; --card: #fff; --text: #000; --quiet: #333; --line: #999; --mat: #fff;
    --accent: #000; }
  html { font-size: 9.5pt; }
  body { max-width: none; padding: 0; }
  nav { display: none; }
  .card { break-inside: avoid; grid-template-columns: 5cm 1fr; }
  .fine ol { grid-template-columns: 1fr 1fr 1fr; }
  h2 { break-after: avoid; }
  a { text-decoration: none; } }
"""
