// The outbox: what was pressed on this phone and is not known to be on the book's disk. Each has a name of its own,
// under which the book does it once, however often it is sent. It stays here, also when the phone is switched off.
"use strict";
const base = document.documentElement.dataset.base;
const $ = id => document.getElementById(id);
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), b => b.toString(16).padStart(2, "0")).join("");
const under_way = new Set();
const within = ms => {
  const stop = new AbortController();
  under_way.add(stop);
  setTimeout(() => { stop.abort(); under_way.delete(stop); }, ms);
  return stop.signal;
};
window.addEventListener("online", () => under_way.forEach(stop => stop.abort()));   // of the network before: nothing comes of it
const FORM_MS = 20000, PICTURE_MS = 70000, LOOK_MS = 8000;   // a connection that is lost in the middle says nothing
const OUTBOX = "logbook-outbox:";
const AGAIN_MS = 3000;
const standing = {                             // what is on its way, and a lost connection: one place, at the top of every page
  of: new Map(), lost: false,
  say(whose, text, { bad = false, lost = false } = {}) {
    standing.of.set(whose, { text, bad, lost });
    const all = [...standing.of.values()];
    standing.lost = all.some(one => one.lost);
    const words = [standing.lost ? "No connection." : "", ...all.map(one => one.text)].filter(Boolean).join(" ");
    if ($("state").textContent !== words) $("state").textContent = words;
    $("state").className = all.some(one => one.lost || one.bad) ? "bad" : "";
  },
};
window.addEventListener("offline", () => standing.say("network", "", { lost: true }));
window.addEventListener("online", () => standing.say("network", ""));
const became = {                               // the step that a line of this phone became: a picture of it may still wait
  all() { try { return JSON.parse(localStorage.getItem("logbook-kept") || "{}"); } catch (e) { return {}; } },
  keep(id, text) {
    const head = new DOMParser().parseFromString(text, "text/html").getElementById("head");
    const known = [...Object.entries(became.all()).slice(-50), [id, head ? head.dataset.became : ""]];
    try { localStorage.setItem("logbook-kept", JSON.stringify(Object.fromEntries(known))); } catch (e) { /* it goes to the bench's place */ }
  },
};
const outbox = {
  busy: false,
  memory: new Map(),                           // where the phone keeps nothing, as in a private window
  all() {                                      // each under a key of its own, so that two tabs lose nothing of each other
    const found = new Map(outbox.memory);
    try {
      for (const key of Object.keys(localStorage).filter(key => key.startsWith(OUTBOX))) {
        const one = JSON.parse(localStorage.getItem(key));
        if (one) found.set(one.id, one);
      }
    } catch (e) { /* what is in memory is all there is */ }
    return [...found.values()].sort((one, other) => one.at - other.at);
  },
  keep(one) {
    try { localStorage.setItem(OUTBOX + one.id, JSON.stringify(one)); } catch (e) {
      outbox.memory.set(one.id, one);
      outbox.say("The phone has no room: leave this page open.", { bad: true });
    }
    outbox.show();
  },
  put(one) { outbox.keep({ ...one, at: performance.timeOrigin + performance.now() }); outbox.send(); },
  change(id, more) { const one = outbox.all().find(each => each.id === id); if (one) outbox.keep({ ...one, ...more }); },
  forget(id) {
    outbox.memory.delete(id);
    try { localStorage.removeItem(OUTBOX + id); } catch (e) { /* it was in memory alone */ }
    outbox.show();
  },
  waiting() { return outbox.all().filter(one => !one.why); },
  say(text, how) { standing.say("forms", text, how); },
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
    const left = () => `${outbox.waiting().length} kept on this phone.`;
    let answer, text;
    if (!standing.lost) outbox.say(outbox.waiting().length > 1 ? `Sending, ${outbox.waiting().length} to go.` : `Sending: ${one.words.slice(0, 40)}`);
    try {
      answer = await fetch(base + one.to, {
        method: "POST", body: one.body, signal: within(one.to.includes("/saw/") ? PICTURE_MS : FORM_MS),
        headers: { "Content-Type": "application/x-www-form-urlencoded", "Logbook-Sent": "1" },
      });
      text = await answer.text();
    } catch (e) { outbox.say(left(), { lost: true }); return false; }
    if (answer.ok && answer.headers.get("Logbook-Kept") === one.id) {
      if (one.is_line) became.keep(one.id, text);
      outbox.forget(one.id);
      outbox.say(outbox.waiting().length ? `Sending, ${outbox.waiting().length} to go.` : "");
      outbox.shown(one, text, true);
      return true;
    }
    if ([400, 404, 409, 413, 415].includes(answer.status)) {   // it will not be taken as it is
      outbox.say("");
      if (outbox.shown(one, text, false)) outbox.forget(one.id);
      else outbox.change(one.id, { why: outbox.words(text) });
      return true;
    }
    outbox.say(`${outbox.words(text)} ${left()}`, { bad: true });
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
