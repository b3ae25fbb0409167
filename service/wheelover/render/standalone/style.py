"""How the page looks: our three palettes, chosen on the page or by the system's own."""

_DAY = (
    "--bg:#F4F3EF;--panel:#FFFFFF;--alt:#ECEBE6;--sea:#EEF3F3;--shoal:#D3E0E2;--land:#C9C8C3;"
    "--ink:#14191F;--ink2:#4A525B;--act:#0B5563;--g1:#9B1C1C;--g2:#7A4A00;--edge:#7A1F3D;"
    "--track:#1D2B5C;--hull:#4B5563;--rule:#737A82;--focus:#8A2F00;color-scheme:light"
)
_DUSK = (
    "--bg:#20262B;--panel:#262D33;--alt:#2C343B;--sea:#1B2429;--shoal:#27343A;--land:#3A3B38;"
    "--ink:#D6D4CC;--ink2:#B2B5B3;--act:#7FC4CF;--g1:#F49A8E;--g2:#E5B566;--edge:#EE9AB0;"
    "--track:#B9C4F2;--hull:#A5AEB6;--rule:#89919A;--focus:#F0A860;color-scheme:dark"
)
_NIGHT = (
    "--bg:#060505;--panel:#0B0908;--alt:#100D0B;--sea:#050607;--shoal:#0E100F;--land:#181410;"
    "--ink:#A88560;--ink2:#9B7852;--act:#AE8250;--g1:#C07058;--g2:#A8823E;--edge:#B5765E;"
    "--track:#A08A74;--hull:#8C765C;--rule:#7C6044;--focus:#B88244;color-scheme:dark"
)

_PAGE = """
*{box-sizing:border-box}
html,body{margin:0;background:var(--bg);color:var(--ink);font:16px/1.45 system-ui,sans-serif}
:focus-visible{outline:3px solid var(--focus);outline-offset:1px}
header,section,footer{padding:8px 16px}
h1{font-size:1.35rem;margin:0 12px 0 0;display:inline}
h2{font-size:1.1rem;margin:12px 0 6px}
h3{font-size:1rem;margin:10px 0 2px}
p{margin:4px 0}
.status{display:inline-block;font-weight:700;letter-spacing:.06em;padding:1px 10px;
border:2px solid var(--g2);color:var(--g2)}
.identity{color:var(--ink2);overflow-wrap:anywhere}
.caution{border-left:4px solid var(--g2);padding-left:8px}
.not-checked li,.g-not_checked{color:var(--g2)}
.g-must_resolve{color:var(--g1);font-weight:700}
.light button,.show-row{font:inherit;min-height:36px;padding:2px 12px;background:var(--panel);
color:var(--act);border:1px solid var(--rule);border-radius:3px;cursor:pointer}
.light button[aria-pressed=true]{border-width:3px}
.both{display:grid;grid-template-columns:352px minmax(0,1fr);gap:8px;padding:8px 16px}
.map-box{position:relative;height:min(78vh,900px);min-height:420px;border:1px solid var(--rule)}
.map-box>div{position:absolute;inset:0}
.map-demo{position:absolute;z-index:900;top:8px;left:50%;transform:translateX(-50%);
pointer-events:none;white-space:nowrap;background:var(--panel)}
.switches{max-height:min(78vh,900px);min-height:420px;overflow:auto;background:var(--panel);
border:1px solid var(--rule);padding:4px 12px}
.switch{display:grid;grid-template-columns:24px 46px 1fr auto;align-items:center;
min-height:36px;gap:4px}
.switch input{width:20px;height:20px;margin:0;accent-color:var(--act)}
.switch svg{width:44px;height:14px;overflow:visible}
a{color:var(--act)}
.pointer{color:var(--ink2);font-variant-numeric:tabular-nums;min-height:1.5em;margin:2px 0}
details{border-top:1px solid var(--rule)}
summary{min-height:36px;padding:6px 0;cursor:pointer;font-weight:600}
.table-box{overflow:auto;max-height:70vh;border:1px solid var(--rule);margin-bottom:8px}
table{border-collapse:collapse;background:var(--panel);font-size:.92rem}
th,td{border:1px solid var(--rule);padding:2px 6px;text-align:left;vertical-align:top}
thead th{position:sticky;top:0;background:var(--alt)}
td{max-width:28em;overflow-wrap:anywhere}
.number{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
tr.is-chosen td{background:var(--alt);outline:2px solid var(--act)}
.folium-map{background:var(--sea)}
.folium-map .leaflet-bar a{background:var(--panel);color:var(--act);border-color:var(--rule);
width:36px;height:36px;line-height:34px}
.leaflet-popup-content-wrapper,.leaflet-popup-tip{background:var(--panel);color:var(--ink)}
.leaflet-popup-content{max-height:260px;overflow:auto;font-size:.9rem}
.leaflet-popup-content dt{color:var(--ink2);float:left;clear:left;margin-right:6px}
.leaflet-popup-content dd{margin:0}
.leaflet-container .leaflet-control-attribution{background:var(--panel);color:var(--ink2)}
.point{background:none;border:0}
.point svg{position:absolute;left:-11px;top:-11px;width:22px;height:22px;overflow:visible}
.point span{position:absolute;left:12px;top:-12px;white-space:nowrap;padding:0 4px;
background:var(--panel);border:1px solid var(--rule);color:var(--ink);font-weight:600}
.is-far .point:not(.of-waypoint) span{display:none}
.grid-label{background:none;border:0}
.grid-label span{position:absolute;background:var(--sea);color:var(--ink2);padding:0 3px;
white-space:nowrap}
.grid-line{stroke:var(--hull);stroke-opacity:.35;stroke-width:1}
.coast-frame{stroke:var(--rule);stroke-width:1.5;stroke-dasharray:10 6;stroke-opacity:1;fill:none}
.coast{stroke:none;fill:var(--land);fill-opacity:1}
@media (max-width:899px){.both{grid-template-columns:minmax(0,1fr)}.switches{max-height:none}}
@media print{.switches,.light{display:none}.both{display:block}}
"""

_LAYERS = """
.drawn{stroke:var(--ink);stroke-width:1.6;stroke-opacity:1;fill:none}
.sign{stroke:var(--ink);stroke-width:1.8;fill:var(--panel);fill-opacity:.6}
.layer-leg,.layer-turn{stroke:var(--track);stroke-width:2.6}
.layer-course_line{stroke:var(--track);stroke-width:1.2;stroke-dasharray:2 5}
.layer-alternative,.layer-contingency{stroke:var(--track);stroke-width:1.5;stroke-dasharray:10 7}
.is-no-track{stroke-dasharray:3 7}
.layer-simulated_track{stroke-width:2;stroke-dasharray:12 4 2 4}
.layer-hull{stroke:var(--hull);stroke-width:1}
.layer-wheel_over_line{stroke-width:1.8}
.layer-clearance{stroke:var(--edge);stroke-width:1.4;stroke-dasharray:7 4}
.is-not-met{stroke:var(--g1);stroke-width:2.8;stroke-dasharray:none}
.layer-hazard{stroke:var(--edge);stroke-width:1.8;fill:var(--shoal);fill-opacity:.9}
.layer-land{stroke:var(--g1);stroke-width:4}
.layer-no_go{stroke:var(--edge);stroke-width:2;fill:var(--shoal);fill-opacity:.7}
.layer-margin{stroke:var(--edge);stroke-width:1;stroke-dasharray:2 4}
.layer-coverage{stroke:var(--rule);stroke-width:1;stroke-dasharray:8 3 2 3}
.layer-coverage_hole{stroke:var(--g2);stroke-width:1.6;stroke-dasharray:1 4;fill:var(--g2);
fill-opacity:.15}
.layer-charted_area{stroke:var(--rule);stroke-width:1.4;stroke-dasharray:6 3}
.layer-parallel_index{stroke:var(--act);stroke-width:1.8;stroke-dasharray:14 4}
.layer-index_limit{stroke:var(--act);stroke-width:1.2;stroke-dasharray:4 4}
.layer-bend_index{stroke:var(--act);stroke-width:1.4;stroke-dasharray:14 4 3 4}
.layer-clearing_line{stroke:var(--edge);stroke-width:1.8;stroke-dasharray:16 3 3 3}
.layer-transit{stroke:var(--track);stroke-width:1.4;stroke-dasharray:20 3}
.layer-wheel_over{fill:none}
.layer-wheel_over.is-planned{fill:var(--ink);fill-opacity:1}
.layer-waypoint{stroke:var(--track);stroke-width:2.4}
"""


def style_text() -> str:
    """Return the style of the page."""
    dark = f"@media (prefers-color-scheme:dark){{:root:not([data-light]){{{_DUSK}}}}}"
    chosen = f":root[data-light=dusk]{{{_DUSK}}}:root[data-light=night]{{{_NIGHT}}}"
    return f":root{{{_DAY}}}{dark}{chosen}{_PAGE}{_LAYERS}"
