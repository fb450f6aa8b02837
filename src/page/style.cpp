#include "page/style.h"

namespace tapersight {

// Blue and orange as in the overlay. Each standing has a sign of its own shape; colour only repeats it. Every
// pair of text and ground keeps a contrast of 4.5 to 1 or more (tests/page_browser).
std::string_view page_style() {
  return R"css(
:root{--ground:#f4f1ea;--card:#fffdf9;--ink:#1e272d;--quiet:#55616a;--rule:#d8d2c5;--left:#175a9e;--right:#a34700;
--out:#8f1550;--band:#d5e4dc;--limit:#33664f;--wood:#e6cfa6;--wood-line:#9a7b45;--move:#8a1c5b;
--square:#1f6048;--undecided:#5b4a8a;--adjust:#9a3f00;--not-measured:#7d1f3f}
@media (prefers-color-scheme:dark){:root{--ground:#12171a;--card:#1b2226;--ink:#ece7dc;--quiet:#aab4ba;--rule:#3a454c;
--left:#83bbf5;--right:#f3a763;--out:#f49ac1;--band:#24463a;--limit:#86c9a8;--wood:#5d4a2b;--wood-line:#c3a46c;
--move:#f49ac1;--square:#86d0ae;--undecided:#bcaef0;--adjust:#f5ab6a;--not-measured:#f29ab4}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:var(--ground);color:var(--ink);font:1rem/1.45 system-ui,"Segoe UI","Helvetica Neue",
"DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:break-word}
bdi{overflow-wrap:anywhere}
main{max-width:76rem;margin:0 auto;padding:1rem}
h1{font-size:clamp(1.5rem,1.1rem + 1.9vw,2.3rem);line-height:1.18;margin:0;letter-spacing:-.01em;text-wrap:balance;
overflow-wrap:break-word}
h2{font-size:1.1rem;margin:0 0 .6rem;line-height:1.25}
h3{font-size:1rem;margin:.9rem 0 .3rem}
p{margin:.5rem 0}
a{color:var(--left)}
section{background:var(--card);border:1px solid var(--rule);border-radius:.4rem;padding:1rem;margin:0 0 1rem}
section>:last-child,aside>:last-child,figure>:last-child,header>:last-child{margin-bottom:0}
.headline{padding:.4rem 0 1.1rem;display:flex;flex-direction:column;gap:.45rem}
.headline p{margin:0}
.badge{order:-1;display:flex;align-items:center;gap:.5rem;font-weight:700;color:var(--standing)}
.badge .sign{width:1.9rem;height:1.9rem}
.headline .why{font-size:1.08rem;max-width:46rem}
.which,.note,figcaption,caption{color:var(--quiet);font-size:.875rem}
.square{--standing:var(--square)}.undecided,.bowed{--standing:var(--undecided)}.adjust{--standing:var(--adjust)}
.not-measured{--standing:var(--not-measured)}
.sign{flex:none;fill:none;stroke:currentColor;stroke-width:2.2;stroke-linejoin:round;stroke-linecap:round}
.steps{margin:0;padding-left:2.1rem}
.steps li{margin:0 0 .5rem;padding-left:.15rem}
.steps li::marker{font-weight:700}
.moving li:first-child,.cautions,.mind{border-left:.3rem solid var(--adjust);background:var(--ground);
padding:.55rem .8rem;border-radius:0 .3rem .3rem 0}
.moving li:first-child{font-weight:600}
.cautions,.mind{margin:.8rem 0}
.mind{border-left-color:var(--undecided)}
.box-title{font-weight:700;margin:0 0 .25rem}
.plain{margin:0;padding-left:1.35rem}
.plain li{margin:.2rem 0}
figure{margin:0 0 .9rem}
figcaption{margin-top:.35rem}
img,.seen{display:block;width:100%;height:auto;border:1px solid var(--rule);border-radius:.2rem}
.found-figure .seen{width:auto;max-width:100%;max-height:34rem;margin:0 auto}
.ends{display:flex;justify-content:space-between;font-size:.875rem;margin-top:.2rem}
.fence-end,.key{font-weight:700}
.key.left-edge{color:var(--left)}.key.right-edge{color:var(--right)}
.drawing{display:block;width:100%;height:auto;max-width:40rem;margin:0 auto}
.drawing text{font-size:12px;fill:var(--ink);font-family:inherit}
.residuals text{font-size:11px}
.mark{width:7.5rem;max-width:100%;margin:0}
.drawing line,.drawing path,.drawing rect,.drawing circle{fill:none;stroke:var(--ink);stroke-width:1.2}
.drawing .band{fill:var(--band);stroke:none}
.drawing .limit{stroke:var(--limit);stroke-width:2;stroke-dasharray:5 3}
.drawing .zero{stroke:var(--quiet);stroke-width:1}
.drawing .interval{stroke-width:2.6}
.drawing .value{fill:var(--ink);stroke:none}
.drawing .axis{stroke:var(--quiet)}
.drawing .grid{stroke:var(--rule);stroke-width:1}
.drawing .plot{stroke:var(--quiet);stroke-width:1}
.drawing .dots{stroke-width:1.5;stroke-linecap:round}
.drawing .left-edge{stroke:var(--left)}.drawing .right-edge{stroke:var(--right)}
.drawing .left-out{stroke:var(--out);stroke-width:1}
.drawing .base{fill:var(--ground);stroke:var(--rule)}
.drawing .dark{fill:var(--ink);stroke:none}
.drawing .blade{stroke-width:3;stroke:var(--out)}
.drawing .board,.drawing .strip{fill:var(--wood);stroke:var(--wood-line)}
.drawing .strip{stroke-width:2}
.drawing .fence{fill:var(--quiet);stroke:none}
.drawing .square-line{stroke-dasharray:6 4;stroke-width:1.6}
.drawing .pivot{fill:var(--card);stroke-width:2}
.drawing .pivot-pin,.drawing .person{fill:var(--ink)}
.drawing .measure{stroke:var(--quiet)}
.drawing .move{stroke:var(--move);stroke-width:3.4;stroke-linecap:round;stroke-linejoin:round}
.top{display:flex;flex-direction:column;gap:.5rem;margin-bottom:1rem}
.top .headline{padding-bottom:0}
.top .sled-figure{margin:0;background:var(--card);border:1px solid var(--rule);border-radius:.4rem;padding:.6rem}
.top .sled-figure .drawing{max-width:26rem}
.slips{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,21rem),1fr));gap:1rem}
.slip{margin:0;border:2px dashed var(--quiet);border-radius:0}
.slip .move-words{font-size:1.15rem;font-weight:700}
.lie-figure .drawing{max-width:22rem}
table{border-collapse:collapse;width:100%;font-size:.92rem}
caption{text-align:left;padding-bottom:.3rem}
th,td{text-align:left;vertical-align:top;padding:.4rem .5rem .4rem 0;border-top:1px solid var(--rule);font-weight:400}
thead th{border-top:0;font-weight:700;font-size:.82rem}
tbody th b{font-weight:700}
.sum th,.sum td{border-top:2px solid var(--ink);font-weight:700}
.share{display:block;font-size:.8rem;color:var(--quiet);min-width:3.6rem}
.share::before{content:"";display:block;height:.4rem;margin:.15rem 0;border:1px solid var(--quiet);
background:linear-gradient(var(--quiet),var(--quiet)) 0/var(--share) 100% no-repeat}
.settings{margin:0;font-size:.92rem}
.settings div{margin:0 0 .5rem}
.settings dt{font-weight:700}
.settings dd{margin:0}
code{font:0.875rem/1.4 ui-monospace,"DejaVu Sans Mono",monospace;overflow-wrap:anywhere}
h2 .sign{width:1.5rem;height:1.5rem;margin-right:.4rem;vertical-align:-.3rem;color:var(--standing)}
td .badge .sign{width:1.4rem;height:1.4rem}
td p,th p{margin:.15rem 0}
.benches th:first-child{width:24%}
.benches td:nth-child(2){width:9rem}
.benches .mark{margin-bottom:.2rem}
.number,.word{white-space:nowrap}
.refused-picture img{max-height:7rem;width:auto;max-width:100%}
.refused-picture p{font-size:.8rem;color:var(--quiet)}
th button{font:inherit;color:inherit;background:none;border:0;border-bottom:1px dashed currentColor;padding:.2rem 0;
cursor:pointer;text-align:left}
th button:focus-visible{outline:3px solid var(--left);outline-offset:2px}
th[aria-sort=ascending] button::after{content:" \25B2"}
th[aria-sort=descending] button::after{content:" \25BC"}
@media (max-width:34rem){.benches,.benches tbody,.benches tr,.benches td,.benches th{display:block}
.benches thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}
.benches tr{border-top:1px solid var(--rule);padding:.5rem 0}.benches th,.benches td{border:0;padding:.1rem 0;width:auto}
.benches th:first-child,.benches td:nth-child(2){width:auto}
.benches caption{display:block}.benches .mark{width:12rem}}
@media (max-width:30rem){th,td{padding-right:.35rem}table{font-size:.86rem}
.number,.word{white-space:normal}
.budget thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}}
@media (min-width:48rem){.top{flex-direction:row;align-items:center;gap:1.5rem}.top .headline{flex:1}
.top .sled-figure{flex:0 0 22rem}}
@media (min-width:62rem){.benches td:nth-child(2){width:14rem}.benches .mark{width:12rem}
.columns{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:1rem}
main{padding:1.5rem 2rem}
.settings div{display:grid;grid-template-columns:8rem 1fr}}
@media print{
@page{margin:9mm}
:root{--ground:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--left:#0d4a86;--right:#8a3b00;--out:#7a0f43;
--band:#e1e1e1;--limit:#333;--wood:#eee;--wood-line:#777;--move:#000;--square:#000;--undecided:#000;--adjust:#000;
--not-measured:#000;color-scheme:light}
html{font-size:7.6pt}
body{background:none;line-height:1.3;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.dense{zoom:.9}.denser{zoom:.85}
main{padding:0;max-width:none}
h1{font-size:1.75rem}
.headline{padding:0 0 .5rem;gap:.2rem}
.headline .why{max-width:none}
.columns{display:block;columns:2;column-gap:5mm}
.column{display:contents}
section{border:0;border-top:1px solid #999;border-radius:0;padding:.4rem 0 0;margin:0 0 .5rem}
figure,tr,.cautions,.mind,li{break-inside:avoid}
h2{break-after:avoid;margin-bottom:.25rem}
p{margin:.2rem 0}
figure{margin:0 0 .4rem}
figcaption{margin-top:.15rem}
.steps li{margin-bottom:.15rem}
.moving li:first-child,.cautions,.mind{padding:.2rem .5rem;margin:.3rem 0}
.top{flex-direction:row;align-items:center;gap:6mm;margin:0 0 2mm}.top .headline{flex:1;padding:0}
.top .sled-figure{flex:none;width:72mm;border:0;padding:0;display:flex;gap:3mm;align-items:center}
#picture{display:grid;grid-template-columns:30mm 1fr;column-gap:3mm;align-items:start}
#picture h2,.refused #picture .found-figure{grid-column:1/-1}
#picture .strip-figure{grid-column:2;grid-row:2}
#picture .found-figure{grid-row:2}
.found-figure .seen{max-height:46mm;margin:0}
.scale-figure .drawing{max-width:66mm}.residual-figure .drawing{max-width:70mm}
.top .sled-figure .drawing{flex:none;width:36mm;margin:0}
th,td{padding-top:.12rem;padding-bottom:.12rem}
.share{display:inline-block;min-width:0;margin-left:.4rem}
.share::before{width:3.2rem;height:.3rem}
.slips-page .headline{display:none}.slips{grid-template-columns:1fr 1fr;gap:0;font-size:1.3rem}
.slip{border:1px dashed #666;padding:4mm;break-inside:avoid;margin:0}.slip .drawing{max-width:70mm}
.class-sheet{font-size:1.15rem}.class-sheet section{columns:auto}
th button{border:0}th[aria-sort] button::after{content:""!important}
#settings{break-inside:avoid}
.settings{columns:2;column-gap:5mm}
.settings div{display:grid;grid-template-columns:14mm 1fr;margin-bottom:.1rem;break-inside:avoid}
code{font-size:.9rem;line-height:1.25}
.which,.note,figcaption,caption,thead th,.share,.refused-picture p{font-size:.9rem}
}
)css";
}

}  // namespace tapersight
