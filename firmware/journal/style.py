"""How a report looks, on a screen and on paper."""

STYLE = """
:root{color-scheme:light}
*{box-sizing:border-box}
body{font:14px/1.45 system-ui,sans-serif;color:#1c1c1c;background:#fff;max-width:60rem;
margin:2rem auto;padding:0 1.25rem;font-variant-numeric:tabular-nums}
h1{font-size:1.9rem;line-height:1.15;margin:0 0 .25rem;font-weight:650}
h2{font-size:1.25rem;margin:0 0 .25rem;font-weight:650}
h3{font-size:.95rem;margin:0 0 .5rem;font-weight:650}
p{margin:.35rem 0}
header{border-bottom:2px solid #1c1c1c;padding-bottom:.75rem}
section{margin-top:2rem}
article{border-top:1px solid #b9b9b9;padding:.9rem 0 1.1rem;break-inside:avoid}
.quiet{color:#5f5f5f}
.warn{border-left:3px solid #b3481a;padding-left:.6rem}
.pair{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1.15fr);gap:1.25rem;
align-items:start;margin-top:.5rem}
.pair:has(.trace){grid-template-columns:minmax(0,2.35fr) minmax(0,1fr)}
svg{display:block;width:100%;height:auto}
svg.time{margin:.75rem 0}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;padding:.2rem .5rem .2rem 0;vertical-align:baseline;font-weight:400}
thead th{color:#5f5f5f;font-size:.85em;border-bottom:1px solid #b9b9b9}
.spots tbody th{font-weight:650;white-space:nowrap}
.spots td{white-space:nowrap;font-size:.9em}
.spots td.main{font-size:1.15em;font-weight:650}
.spots td:last-child,.spots th:last-child{padding-right:0}
.cdl th{color:#5f5f5f;width:6rem}
.cdl td{width:5.5rem}
.cdl th,.cdl td{padding-top:0;padding-bottom:0}
ul{margin:.35rem 0;padding-left:1.1rem}
@media (max-width:40rem){.pair,.pair:has(.trace){grid-template-columns:1fr}}
@page{size:A4;margin:14mm}
@media print{body{max-width:none;margin:0;padding:0;font-size:8.5pt}
section{margin-top:1.2rem}article{padding:.5rem 0 .6rem}
.pair{grid-template-columns:minmax(0,.82fr) minmax(0,1.18fr);gap:.8rem;margin-top:.3rem}
.setup{break-inside:avoid;break-after:avoid}h2,h3{break-after:avoid}tr{break-inside:avoid}
svg.still,svg.trace,svg.chroma{max-height:37mm}
*{print-color-adjust:exact;-webkit-print-color-adjust:exact}}
"""
