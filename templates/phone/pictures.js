(() => {
// Pictures: each is kept on the phone until the logbook names it as kept.
"use strict";

let db = null, busy = false, lost = false, waiting = [], refused = [];
const opened = new Promise(done => {
  const ask = indexedDB.open("logbook-photos", 1);
  ask.onupgradeneeded = () => ask.result.createObjectStore("photos", { keyPath: "id" });
  ask.onsuccess = () => { db = ask.result; done(); };
  ask.onerror = () => done();               // a private window: kept in memory only
});
const stored = (mode, work) => new Promise((done, failed) => {
  if (!db) return done(undefined);
  const ask = work(db.transaction("photos", mode).objectStore("photos"));
  ask.onsuccess = () => done(ask.result); ask.onerror = () => failed(ask.error);
});
const forget = async one => {
  refused = refused.filter(other => other !== one);
  await stored("readwrite", s => s.delete(one.id));
  show();
};
function show() {                           // what the logbook will not take stays here until a person says otherwise
  $("refused").replaceChildren(...refused.map(one => {
    const li = document.createElement("li"), button = document.createElement("button");
    li.textContent = one.why + " ";
    button.textContent = "Forget it"; button.addEventListener("click", () => forget(one));
    li.append(button);
    return li;
  }));
}
function say(text, how) { standing.say("pictures", text, how); }
const left = () => waiting.length ? `${waiting.length} picture${waiting.length > 1 ? "s" : ""} kept on this phone.` : "";
function note(text, bad) {
  const li = document.createElement("li"); li.textContent = text; if (bad) li.className = "bad";
  $("list").prepend(li); while ($("list").children.length > 20) $("list").lastChild.remove();
}
function to() {                             // the step that was chosen beside the button; else what is open at the bench
  const chosen = document.querySelector("#to input:checked");
  return chosen ? chosen.value : "";
}
function add(files) {                        // sent at once; the phone's own store may be slow, and holds nothing up
  const at = to();                          // as it was chosen when the picture was taken
  const taken = files.map(file => ({ id: newId(), blob: file, to: at }));
  waiting.push(...taken);
  taken.forEach(keep);
  send();
}
async function keep(one) {
  await opened;
  const here = waiting.includes(one) || refused.includes(one);
  try { await stored("readwrite", s => here ? s.put(one) : s.delete(one.id)); } catch (e) {
    if (here) say("The phone has no room: leave this page open.", { bad: true });
  }
}
async function send() {
  if (busy) return; busy = true;
  try { while (waiting.length && await sent(waiting[0])); } finally { busy = false; }
}
async function sent(one) {                  // true when the next one may be sent
  let answer, words, at = one.to || "";
  if (at.startsWith("line:")) {             // of a line that was kept on this phone: it goes first
    const id = at.slice(5);
    if (outbox.waiting().some(line => line.id === id)) { say(left()); return false; }
    at = became.all()[id] || "";            // it became none: where the bench is
  }
  if (!standing.lost) say(`Sending, ${waiting.length} picture${waiting.length > 1 ? "s" : ""} to go.`);
  try {
    answer = await fetch(`${base}/photo?id=${one.id}&to=${encodeURIComponent(at)}`, {
      method: "POST", body: one.blob, signal: within(PICTURE_MS), headers: { "Content-Type": "application/octet-stream" },
    });
    words = (await answer.text()).trim();
  } catch (e) { say(left(), { lost: true }); return false; }
  if (answer.ok && answer.headers.get("Logbook-Kept") === one.id) {
    waiting = waiting.filter(other => other !== one);
    keep(one);
    note(words);
    say(waiting.length || refused.length ? "" : "Everything is sent.");
    return true;
  }
  if (answer.status === 413 || answer.status === 415) {
    waiting = waiting.filter(other => other !== one);
    one.why = words; refused.push(one);
    keep(one);
    show(); say("");
    return true;
  }
  say(`${words} ${left()}`, { bad: true });
  return false;
}
async function places() {                   // the choice beside the button follows the bench
  if (!$("places")) return;
  const page = await fetch(location.href, { cache: "no-store", signal: within(LOOK_MS) });
  const fresh = new DOMParser().parseFromString(await page.text(), "text/html").getElementById("places");
  if (fresh) $("places").replaceWith(document.importNode(fresh, true));
}
async function look() {
  try {
    const answer = await fetch(`${base}/where`, { cache: "no-store", signal: within(LOOK_MS) });
    const words = (await answer.text()).trim();
    if (!answer.ok) say(`${words} ${left()}`, { bad: true });
    else if (waiting.length) send();
    else if (lost) say("");
    lost = !answer.ok;
    if (answer.ok && $("where") && $("where").textContent !== words) { $("where").textContent = words; places(); }
  } catch (e) { lost = true; say(left(), { lost: true }); }
}
document.addEventListener("change", e => {   // the page may have been made anew since
  if (e.target.id === "camera") { add(Array.from(e.target.files)); e.target.value = ""; }
});
opened.then(() => stored("readonly", s => s.getAll())).then(all => {
  refused = (all || []).filter(one => one.why);
  waiting = (all || []).filter(one => !one.why && !waiting.some(other => other.id === one.id)).concat(waiting);
  show(); look(); send();
});
setInterval(look, 2000);
window.addEventListener("online", send);
})();
