// What of a page cannot be read, pressed or named. Given: least contrast, least side of a target, and of a main one.
const shown = e => e.getClientRects().length && getComputedStyle(e).visibility !== 'hidden';
const parts = c => c.match(/[\d.]+/g).map(Number);
const light = c => { const [r, g, b] = parts(c).map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
  return .2126 * r + .7152 * g + .0722 * b; };
const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor, p = parts(c);
  if (p.length < 4 || p[3] > 0) return c; } return 'rgb(255, 255, 255)'; };
const ratio = (a, b) => { const [x, y] = [light(a), light(b)].sort((m, n) => n - m); return (x + .05) / (y + .05); };
const poor = [], small = [], unnamed = [];
for (const e of document.querySelectorAll('body *')) {
  const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
  if (!shown(e) || !(own || e.matches('input:not([type]), textarea, select'))) continue;
  const style = getComputedStyle(e), ink = e.closest('svg') ? style.fill : style.color;
  const on = e.closest('svg') ? getComputedStyle(document.querySelector('.board')).fill : ground(e);
  const r = ratio(ink, on);
  if (r < arguments[0]) poor.push(`${r.toFixed(1)} ${e.tagName} ${e.textContent.trim().slice(0, 30)}`);
}
for (const e of document.querySelectorAll('a, button, summary, textarea, select, input:not([type=hidden]):not([type=file])')) {
  if (!shown(e)) continue;
  const box = (e.matches('[type=checkbox], [type=radio]') ? e.closest('label') : e).getBoundingClientRect();
  const least = e.matches('button.big, a.big') ? arguments[2] : arguments[1];
  if (box.height < least - .5 || box.width < arguments[1] - .5) small.push(`${Math.round(box.width)}x${Math.round(box.height)} ${e.outerHTML.slice(0, 60)}`);
}
for (const e of document.querySelectorAll('input:not([type=hidden]), textarea, select'))
  if (!e.labels.length || ![...e.labels].some(l => l.textContent.trim())) unnamed.push(e.outerHTML.slice(0, 60));
for (const e of document.querySelectorAll('img, svg')) if (!(e.alt || e.getAttribute('aria-label'))) unnamed.push(e.tagName);
const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
return { poor, small, unnamed, twice: ids.filter((id, n) => ids.indexOf(id) !== n),
  wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  live: document.querySelectorAll('[aria-live]').length, headings: document.querySelectorAll('h1').length,
  lang: document.documentElement.lang };
