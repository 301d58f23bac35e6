// The outbox: what was pressed on this phone and is not known to be on the book's disk. Each has a name of its own,
// under which the book does it once, however often it is sent. It stays here, also when the phone is switched off.
"use strict";
const base = document.documentElement.dataset.base;
const $ = id => document.getElementById(id);
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), b => b.toString(16).padStart(2, "0")).join("");
const within = ms => { const stop = new AbortController(); setTimeout(() => stop.abort(), ms); return stop.signal; };
const FORM_MS = 20000, PICTURE_MS = 70000, LOOK_MS = 8000;   // a connection that is lost in the middle says nothing
const OUTBOX = "logbook-outbox";
const AGAIN_MS = 3000;
const outbox = {
  busy: false,
  memory: [],                                  // where the phone keeps nothing, as in a private window
  all() {
    try { return JSON.parse(localStorage.getItem(OUTBOX)) || outbox.memory; } catch (e) { return outbox.memory; }
  },
  write(all) {
    outbox.memory = all;
    try { localStorage.setItem(OUTBOX, JSON.stringify(all)); } catch (e) { outbox.say("The phone has no room: leave this page open.", true); }
    outbox.show();
  },
  put(one) { outbox.write([...outbox.all(), one]); outbox.send(); },
  change(id, more) { outbox.write(outbox.all().map(one => one.id === id ? { ...one, ...more } : one)); },
  forget(id) { outbox.write(outbox.all().filter(one => one.id !== id)); },
  waiting() { return outbox.all().filter(one => !one.why); },
  say(text, bad) { $("state").textContent = text; $("state").className = bad ? "bad" : ""; },
  show() {                                     // what the book does not take stays until a person says otherwise
    const refused = outbox.all().filter(one => one.why);
    let list = $("not-kept");
    if (!list) { list = document.createElement("ul"); list.id = "not-kept"; list.className = "bad"; $("waiting").append(list); }
    list.replaceChildren(...refused.map(one => {
      const li = document.createElement("li"), again = document.createElement("button"), away = document.createElement("button");
      li.textContent = `Not kept: ${one.words}. ${one.why} `;
      again.textContent = "Send again"; away.textContent = "Forget it";
      again.addEventListener("click", () => { outbox.change(one.id, { why: "" }); outbox.send(); });
      away.addEventListener("click", () => outbox.forget(one.id));
      li.append(again, away);
      return li;
    }));
    document.dispatchEvent(new Event("outbox"));
  },
  async send() {
    if (outbox.busy) return;
    outbox.busy = true;
    try { while (outbox.waiting().length && await outbox.sent(outbox.waiting()[0])); } finally { outbox.busy = false; }
  },
  async sent(one) {                            // true when the next one may be sent
    const left = () => `${outbox.waiting().length} kept on this phone, sent again by itself.`;
    let answer, text;
    try {
      answer = await fetch(base + one.to, {
        method: "POST", body: one.body, signal: within(one.to.includes("/saw/") ? PICTURE_MS : FORM_MS),
        headers: { "Content-Type": "application/x-www-form-urlencoded", "Logbook-Sent": "1" },
      });
      text = await answer.text();
    } catch (e) { outbox.say(`No connection. ${left()}`, true); return false; }
    if (answer.ok && answer.headers.get("Logbook-Kept") === one.id) {
      outbox.forget(one.id);
      outbox.say(outbox.waiting().length ? `Sending, ${outbox.waiting().length} to go` : "");
      outbox.shown(one, text, true);
      return true;
    }
    if ([400, 404, 409, 413, 415].includes(answer.status)) {   // it will not be taken as it is
      if (outbox.shown(one, text, false)) outbox.forget(one.id);
      else outbox.change(one.id, { why: outbox.words(text) });
      return true;
    }
    outbox.say(`${outbox.words(text)} ${left()}`, true);
    return false;
  },
  words(text) {                                // the sentence of an answer, be it a page or plain text
    if (!text.startsWith("<!doctype")) return text.trim().slice(0, 300);
    const said = new DOMParser().parseFromString(text, "text/html").getElementById("said");
    return (said ? said.textContent : "").trim();
  },
  shown: () => false,                          // set by the page: whether it shows the answer itself
};
setInterval(() => outbox.send(), AGAIN_MS);
window.addEventListener("online", () => outbox.send());
document.addEventListener("DOMContentLoaded", () => { outbox.show(); outbox.send(); });
