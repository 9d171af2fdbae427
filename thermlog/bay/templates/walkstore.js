// What this device keeps until the server has it: every entry under a name of its own, so that two windows
// never overwrite each other, and what was acknowledged is simply removed.
class WalkStore {
  constructor(note) { this.note = note; this.memory = new Map(); }
  get(name) {
    try { const text = localStorage.getItem("thermlog." + name); return text === null ? this.memory.get(name) ?? null : JSON.parse(text); }
    catch { return this.memory.get(name) ?? null; }
  }
  put(name, value) {
    this.memory.set(name, value);
    try { localStorage.setItem("thermlog." + name, JSON.stringify(value)); return true; }
    catch { this.note("This browser stores nothing: do not close the page before the server has all readings."); return false; }
  }
  drop(name) { this.memory.delete(name); try { localStorage.removeItem("thermlog." + name); } catch { /* nothing was stored */ } }
  names(start) {
    const found = new Set([...this.memory.keys()].filter((name) => name.startsWith(start)));
    try {
      for (let k = 0; k < localStorage.length; k++) {
        const name = localStorage.key(k);
        if (name.startsWith("thermlog." + start)) found.add(name.slice(9));
      }
    } catch { /* only what is in memory */ }
    return [...found];
  }
}
function randomName(letters) {
  const all = "abcdefghijklmnopqrstuvwxyz0123456789";
  return Array.from(crypto.getRandomValues(new Uint8Array(letters)), (n) => all[n % 36]).join("");
}
