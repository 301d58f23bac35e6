(() => {
// Pictures: each is kept on the phone until the logbook names it as kept.
"use strict";

let db = null, busy = false, waiting = [], refused = [];
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
function say(text, bad) { $("state").textContent = text; $("state").className = bad ? "bad" : ""; }
function note(text, bad) {
  const li = document.createElement("li"); li.textContent = text; if (bad) li.className = "bad";
  $("list").prepend(li); while ($("list").children.length > 20) $("list").lastChild.remove();
}
async function add(files) {
  await opened;
  for (const file of files) {
    const one = { id: newId(), blob: file };
    waiting.push(one);
    try { await stored("readwrite", s => s.put(one)); } catch (e) { say("The phone has no room to keep the picture; leave this page open.", true); }
  }
  send();
}
async function send() {
  if (busy) return; busy = true;
  while (waiting.length) {
    const one = waiting[0];
    say(`Sending, ${waiting.length} to go …`);
    let answer;
    try {
      answer = await fetch(`${base}/photo?id=${one.id}`, { method: "POST", body: one.blob, signal: within(PICTURE_MS), headers: { "Content-Type": "application/octet-stream" } });
    } catch (e) {
      say(`No connection. ${waiting.length} kept here, sent again by itself.`, true); break;
    }
    const words = (await answer.text()).trim();
    if (answer.ok && answer.headers.get("Logbook-Kept") === one.id) {
      waiting.shift();
      await stored("readwrite", s => s.delete(one.id));
      note(words);
      say(waiting.length || refused.length ? "" : "Everything is sent.");
    } else if (answer.status === 413 || answer.status === 415) {
      waiting.shift();
      one.why = words; refused.push(one);
      await stored("readwrite", s => s.put(one));
      show(); say("");
    } else if (answer.status === 403) {
      say(`${words} ${waiting.length} kept here until then.`, true); break;
    } else {
      say(`${words} ${waiting.length} kept here, sent again by itself.`, true); break;
    }
  }
  busy = false;
}
async function look() {
  try {
    const answer = await fetch(`${base}/where`, { cache: "no-store", signal: within(LOOK_MS) });
    if (answer.ok) { if ($("where")) $("where").textContent = (await answer.text()).trim(); if (waiting.length) send(); }
    else say(`${(await answer.text()).trim()}${waiting.length ? ` ${waiting.length} kept here until then.` : ""}`, true);
  } catch (e) { say(waiting.length ? `No connection. ${waiting.length} kept here, sent again by itself.` : "No connection to the logbook.", true); }
}
document.addEventListener("change", e => {   // the page may have been made anew since
  if (e.target.id === "camera") { add(Array.from(e.target.files)); e.target.value = ""; }
});
opened.then(() => stored("readonly", s => s.getAll())).then(all => {
  refused = (all || []).filter(one => one.why);
  waiting = (all || []).filter(one => !one.why).concat(waiting);
  show(); look(); send();
});
setInterval(look, 2000);
window.addEventListener("online", send);
})();
