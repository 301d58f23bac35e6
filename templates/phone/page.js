// A page about the book: forms go through the outbox, the reading follows what is said, news of the bench comes in.
"use strict";
const READ_MS = 150, NEWS_MS = 2000, SWIPE_PX = 80;
const place = () => location.pathname.slice(base.length);
const pageOf = text => new DOMParser().parseFromString(text, "text/html");
const draft = () => `logbook-line:${place()}`;
const remember = (key, text) => { try { text ? localStorage.setItem(key, text) : localStorage.removeItem(key); } catch (e) { /* the field still has it */ } };
const remembered = key => { try { return localStorage.getItem(key) || ""; } catch (e) { return ""; } };

function take(text, ids) {                     // parts of the page as they are now; what is being typed stays
  const fresh = pageOf(text);
  for (const id of ids) {
    const now = $(id), then = fresh.getElementById(id);
    if (now && then && now.outerHTML !== then.outerHTML) now.replaceWith(document.importNode(then, true));
  }
  return fresh;
}
function pieces() {                            // ticks of what is in the hand: they help here, the record has no use for them
  const box = $("pieces");
  if (!box) return;
  const key = `logbook-pieces:${box.dataset.pieces}`, had = new Set(remembered(key).split(","));
  for (const one of box.querySelectorAll("[data-piece]")) {
    one.checked = had.has(one.dataset.piece);
    one.addEventListener("change", () => remember(key, [...box.querySelectorAll(":checked")].map(each => each.dataset.piece).join(",")));
  }
}
function line_waits() {                        // a picture taken now belongs to the line that waits, not to the step before it
  const one = outbox.waiting().filter(each => each.is_line && each.to === place()).pop();
  const to = document.querySelector("#to [data-to=kept]");
  if (!one || !to) return;
  to.value = `line:${one.id}`;
  to.nextElementSibling.textContent = `${one.words.slice(0, 40)}, kept on this phone`;
}
document.addEventListener("outbox", line_waits);
function waits() {                             // what is on its way is not pressed a second time
  const on_its_way = outbox.waiting().map(one => ({ to: base + one.to, body: new URLSearchParams(one.body) }));
  for (const form of document.querySelectorAll("form[data-outbox=buy], form[data-outbox=tick]")) {
    const line = form.elements.line.value, sent = on_its_way.some(({ to, body }) => to === form.getAttribute("action") && body.get("line") === line && body.get("do") !== "differs");
    const button = [...form.elements].find(one => one.type === "submit");
    button.disabled = sent;
    form.classList.toggle("sent", sent);
    if (sent && !button.dataset.words) { button.dataset.words = button.textContent; button.textContent = `${button.textContent}: kept on this phone`; }
    if (!sent && button.dataset.words) { button.textContent = button.dataset.words; delete button.dataset.words; }
  }
}
document.addEventListener("outbox", waits);
const LINE_PARTS = ["head", "dangers", "asks", "reading", "last", "to", "ends"];
function takePage(text) {
  if ($("line")) return take(text, LINE_PARTS);
  const buying = () => [...document.querySelectorAll("form[data-outbox=buy]")].filter(form => form.elements.paid);
  const typed = new Map(buying().map(form => [form.elements.line.value, form.elements.paid.value]));
  const fresh = take(text, ["main"]);
  for (const form of buying()) form.elements.paid.value = typed.get(form.elements.line.value) || "";
  pieces(); waits();
  return fresh;
}
function say(text, bad) { const said = $("said"); if (said) { said.textContent = text; said.className = bad ? "bad" : "good"; } }

const wanted = () => document.querySelector("main [data-asked]") || document.querySelector("main input[name=reading]");

outbox.shown = (one, text, kept) => {
  if (!text.startsWith("<!doctype") || one.page !== location.pathname + location.search) return kept;
  const line = $("line"), fresh = pageOf(text), asked = fresh.getElementById("line"), said = outbox.words(text);
  if (!kept && line && (!asked || line.value.trim() && line.value !== asked.value)) return false;
  takePage(text);
  const words_back = kept && asked && asked.value && !line.value;   // of what was taken back, unless more was said meanwhile
  if (line && (!kept || words_back)) { line.value = asked.value; remember(draft(), line.value); }
  if (line && kept) aim("");
  say(said, !kept || Boolean(fresh.querySelector("#said.bad")));
  const next = fresh.querySelector("[data-next]");
  if (next && !line) history.replaceState(null, "", next.dataset.next);
  if (line) (kept ? line : [...document.querySelectorAll("#asks input:not([type=hidden])")].find(one => !one.value || one.type !== "text") || line).focus();
  else if (!kept && wanted()) wanted().focus();
  else if (document.querySelector(".next-cut")) document.querySelector(".next-cut").scrollIntoView({ block: "center" });
  else window.scrollTo(0, 0);
  return true;
};

document.addEventListener("submit", event => {
  const form = event.target, kind = form.dataset.outbox;
  if (!kind) return;
  event.preventDefault();
  const body = new URLSearchParams(new FormData(form, event.submitter)), id = newId(), line = $("line");
  if (kind === "line" && !line.value.trim()) { say("What came off? Say that first: it is all a step must say.", true); return; }
  body.set("id", id);
  const seen = form.elements.seen ? `${form.elements.seen.value}: ` : "";
  const words = kind === "line" ? line.value.trim() : seen + (event.submitter || form).textContent.trim();
  if (kind === "line") { line.value = ""; remember(draft(), ""); $("asks").replaceChildren(); take_reading(); }
  say("");
  if (kind === "line") aim("");
  outbox.put({ id, is_line: kind === "line", to: form.getAttribute("action").slice(base.length), body: body.toString(), words, page: location.pathname + location.search });
});

let asking = 0, timer = 0;
async function take_reading() {
  const line = $("line"), mine = ++asking;
  if (!line) return;
  remember(draft(), line.value);
  const body = new URLSearchParams({ id: newId(), do: "read", line: line.value });
  try {
    const answer = await fetch(base + place(), { method: "POST", body, headers: { "Logbook-Sent": "1" }, signal: within(LOOK_MS) });
    if (answer.ok && mine === asking) take(await answer.text(), ["dangers", "reading", "head"]);
    standing.say("news", "");
  } catch (e) { /* without a connection the line is kept all the same; it is read when it is sent */ }
}
document.addEventListener("input", event => {
  if (event.target.id !== "line") return;
  clearTimeout(timer); timer = setTimeout(take_reading, READ_MS);
  aim();
});

let aimed = "";                                // where a person wants the picture to go; empty: where it is likely to belong
function aim(where = aimed) {
  aimed = where;
  const likely = $("line") && $("line").value.trim() ? "next" : "kept";
  const to = document.querySelector(`#to [data-to=${aimed || likely}]`) || document.querySelector("#to [data-to]");
  if (to) to.checked = true;
}
document.addEventListener("change", event => {
  if (event.target.name === "to") aim(event.target.dataset.to);
  if (event.target.id === "camera") setTimeout(() => aim(""));   // the next picture is asked about anew
});

async function news() {                        // the bench, or another phone, changed something
  const head = document.querySelector("[data-version]"), code = place().split("/")[2];
  if (!head || document.hidden || outbox.busy) return;
  try {
    const answer = await fetch(`${base}/version${code ? `/${code}` : ""}`, { cache: "no-store", signal: within(LOOK_MS) });
    standing.say("news", "");
    if (!answer.ok || (await answer.text()).trim() === head.dataset.version) return;
    const fields = "main input:not([type=checkbox]):not([type=hidden]):not([type=file]), main textarea:not(#line)";
    const typed = [...document.querySelectorAll(fields)].some(one => one.value !== one.defaultValue);
    if (typed || outbox.busy || document.querySelector("main [data-asked]")) return;   // what is asked waits for its answer
    const page = await fetch(location.href, { cache: "no-store", signal: within(LOOK_MS) });
    if (page.ok && !outbox.busy) { if ($("line")) take(await page.text(), ["head", "dangers", "last", "to", "ends"]); else takePage(await page.text()); line_waits(); aim(); }
  } catch (e) { standing.say("news", "", { lost: true }); }   // asked again
}
setInterval(news, NEWS_MS);

function go(selector) { const link = document.querySelector(selector); if (link) location.href = link.href; }
let from = null;
document.addEventListener("touchstart", event => { from = event.touches.length === 1 ? event.touches[0] : null; }, { passive: true });
document.addEventListener("touchend", event => {
  const to = event.changedTouches[0];
  if (!from || !to || !$("main").contains(event.target)) return;
  const across = to.clientX - from.clientX, along = Math.abs(to.clientY - from.clientY);
  if (Math.abs(across) > SWIPE_PX && Math.abs(across) > 2 * along) go(across < 0 ? "a[rel=next]" : "a[rel=prev]");
});
document.addEventListener("keydown", event => {
  if (event.target.matches("input, textarea") || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "ArrowRight") go("a[rel=next]");
  if (event.key === "ArrowLeft") go("a[rel=prev]");
});

if ($("line") && !$("line").value) { $("line").value = remembered(draft()); if ($("line").value) take_reading(); }
aim();
pieces();
