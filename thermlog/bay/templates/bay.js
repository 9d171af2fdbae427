(function () {
  const $ = (id) => document.getElementById(id);
  const ROUNDS = JSON.parse($("rounds").textContent);
  const WORDS = { hot: "▲ HOT", cold: "▽ COLD", watch: "~ watch", urgent: "■ STOP", cannot_tell: "?", even: "", not_read: "" };
  const SIGN = { hot: "▲", cold: "▽", watch: "~", even: "=", cannot_tell: "?" };
  const PAGE = randomName(8);
  const store = new WalkStore((text) => { storeNote = text; draw(); });
  const clock = new WalkClock();
  let storeNote = "", away = "", barred = false, busy = false, again = false, since = 0;
  let S = null;                       // the walk: name, head, entries (Map), known, view, queue (Map), questions
  let cur = null, buf = "", at = null, chosen = false, moving = null, dialogKey = null;
  const begun = (at = null) => ({ at, found: [], skipped: [] });
  let checks = begun(), searches = {}; // one search a suspect, each with its answers
  let drawings = [], charting = null; // the curves as text, axle by axle; one asking at a time
  const device = store.get("device") || randomName(6);
  store.put("device", device);

  // ---- small things -----------------------------------------------------------------------------------
  const far = () => $("uf").checked;
  const show = () => (far() ? "F" : "C");
  const head = () => S.head;
  const count = () => Number(head().axles);
  const corners = () => { const all = []; for (let a = 1; a <= count(); a++) all.push(a + "L", a + "R"); return all; };
  const words = (w) => {
    if (w === "air") return "air";
    const a = Number(w.slice(0, -1)), side = w.endsWith("L") ? "left" : "right";
    return (count() === 2 ? (a === 1 ? "front " : "rear ") : "axle " + a + " ") + side;
  };
  const minutes = (s) => { s = Math.max(0, Math.floor(s)); return Math.floor(s / 60) + ":" + String(s % 60).padStart(2, "0"); };
  const age = (s) => (s < 60 ? Math.max(0, Math.round(s)) + " s" : Math.floor(s / 60) + " min");
  const other = (cell, from, to) => {
    if (from === to || isNaN(Number(cell))) return cell;
    return String(Math.round((to === "F" ? Number(cell) * 1.8 + 32 : (Number(cell) - 32) / 1.8) * 10) / 10);
  };
  const shown = (cell) => (isNaN(Number(cell)) ? cell : String(Math.round(Number(other(cell, head().unit, show())))) + "°");
  const made = (tag, cls, text) => { const e = document.createElement(tag); if (cls) e.className = cls; if (text !== undefined) e.textContent = text; return e; };
  function wall(back) {
    const d = new Date(Date.now() - back * 1000), off = -d.getTimezoneOffset(), two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
    const local = new Date(d.getTime() + off * 60000).toISOString().slice(0, 19);
    return local + (off < 0 ? "-" : "+") + two(off / 60) + ":" + two(Math.abs(off) % 60);
  }

  // ---- the walk ---------------------------------------------------------------------------------------
  function all() { return [...S.entries.values(), ...[...S.queue.values()].map((one) => one.entry)]; }
  function gone() { return new Set(all().filter((e) => e.kind === "taken_back").map((e) => e.target)); }
  function standing() { const out = gone(); return all().filter((e) => (e.kind === "reading" || e.kind === "air") && !out.has(e.key)); }
  function last(w) {
    const mine = standing().filter((e) => (w === "air" ? e.kind === "air" : e.corner === w && (e.spot || "brake") === "brake")).sort((a, b) => time(a) - time(b));
    return mine[mine.length - 1];
  }
  const time = (e) => e.elapsed_s || 0;
  function proposed() {
    const waiting = [...S.queue.values()].map((one) => one.entry).filter((e) => e.kind === "reading").map((e) => e.corner);
    if (S.view && S.view.next && !waiting.length) return S.view.next.corner;
    if (S.view && !S.view.next && !waiting.length) return null;
    const ahead = [...(S.view ? S.view.ahead : [...ROUNDS[head().axles], ...ROUNDS[head().axles]])];
    for (const w of waiting) { const k = ahead.indexOf(w); if (k >= 0) ahead.splice(k, 1); }
    return ahead[0] || null;
  }
  function aim() { if (!chosen) cur = proposed(); }
  function keep(entry) {
    entry.key = device + "-" + randomName(6);
    entry.by = head().by || store.get("by") || "";
    for (const name of ["by", "corner", "cell", "text", "target"]) if (!entry[name]) delete entry[name];
    const item = { entry, page: PAGE, perf: WalkClock.steady() };
    S.queue.set(entry.key, item);
    store.put("q." + S.walk + "." + entry.key, item);
    remember();
    draw();
    sync();
    return entry.key;
  }
  function remember() {
    store.put("w." + S.walk, { head: S.head, entries: [...S.entries.values()], view: S.view, clock: clock.saved() });
    store.put("last", S.walk);
  }
  function open(walk, given) {
    const kept = store.get("w." + walk);
    S = { walk, head: given || kept.head, entries: new Map(), view: kept ? kept.view : null, queue: new Map(), questions: [], refused: store.get("x." + walk) || [] };
    for (const e of kept ? kept.entries : []) S.entries.set(e.key, e);
    for (const name of store.names("q." + walk + ".")) { const item = store.get(name); if (item) S.queue.set(item.entry.key, item); }
    clock.offset = null;
    clock.restore(kept ? kept.clock : null);
    checks = begun(); searches = {}; drawings = [];
    chosen = false; buf = ""; at = null;
    $(head().unit === "F" ? "uf" : "uc").checked = true;
    remember(); draw(); sync();
  }

  // ---- the server -------------------------------------------------------------------------------------
  async function ask(path, body, wait = 6000) {
    const stop = new AbortController(), timer = setTimeout(() => stop.abort(), wait);
    try {
      const said = await fetch(path, { method: body ? "POST" : "GET", body: body ? JSON.stringify(body) : undefined, signal: stop.signal, credentials: "same-origin", cache: "no-store" });
      barred = said.status === 401;
      if (barred) throw new Error("code");
      const json = await said.json();
      if (said.status === 409 && path.endsWith("/sync")) return null;
      if (!said.ok) throw Object.assign(new Error(json.error || said.statusText), { told: true });
      return json;
    } finally { clearTimeout(timer); }
  }
  async function sync() {
    if (!S) return;
    if (busy) { again = true; return; }
    busy = true;
    const mine = S;
    try {
      // before a clock that only guesses has been set right, nothing is sent that bears its time
      const unsure = clock.offset !== null && !clock.sure && mine.entries.size > 0;
      const sending = unsure ? [] : [...mine.queue.values()].slice(0, 150);
      const sentAt = WalkClock.steady();
      const kept = store.get("kept." + mine.walk) || [];
      const body = { elapsed_s: clock.now, entries: sending.map((one) => one.entry), known: mine.entries.size, kept, show: show() };
      if (!mine.begun) { await ask("walks", { walk: mine.walk, ...mine.head }); mine.begun = true; }
      const said = await ask("walks/" + mine.walk + "/sync", body);
      if (said === null) { mine.begun = false; throw new Error("the server was started anew"); }
      if (mine === S) took(said, sentAt, sending);
      away = "";
      if (S.queue.size) again = true;
    } catch (fault) {
      away = barred ? "code" : fault.told ? "told: " + fault.message : "away";
    } finally {
      busy = false;
      since = Date.now();
      draw();
      if (again && !away) { again = false; setTimeout(sync, 0); }
      again = false;
    }
  }
  function took(said, sentAt, sending) {
    for (const e of said.entries) { S.entries.set(e.key, e); settle(e.key); }
    for (const one of sending) if (!said.refused[one.entry.key]) settle(one.entry.key);
    for (const [key, why] of Object.entries(said.refused)) {
      const one = S.queue.get(key);
      if (one) { S.refused.push({ entry: one.entry, why }); store.put("x." + S.walk, S.refused); }
      settle(key);
      storeNote = "Not kept (see more, all readings): " + why;
    }
    if (said.count < S.entries.size) S.entries = new Map();  // another file than before: everything anew next time
    if (said.elapsed_s !== null) {
      const { moved, from } = clock.follow(said.elapsed_s, sentAt);
      if (moved) for (const item of S.queue.values()) if (item.page === PAGE && item.perf >= from) {
        item.entry.elapsed_s = Math.max(0, Math.round((time(item.entry) + moved) * 10) / 10);
        store.put("q." + S.walk + "." + item.entry.key, item);
      }
    } else if (clock.offset !== null) clock.sure = true;
    S.view = said.view;
    S.questions = said.questions.filter((q) => q.key.startsWith(device + "-"));
    remember();
    if ($("chartbox").open && $("sheet").open) chart();
  }
  function settle(key) { if (S.queue.delete(key)) store.drop("q." + S.walk + "." + key); }

  // ---- keys -------------------------------------------------------------------------------------------
  function stamp() { if (at === null) at = WalkClock.steady(); }
  function press(key) {
    if (clock.offset === null && key !== "undo") return;
    if (key === "take") return take();
    if (key === "undo") return undo();
    if (key === "del") buf = buf === "OL" ? "" : buf.slice(0, -1);
    else if (key === "OL") { stamp(); buf = "OL"; }
    else if (key === "neg") { stamp(); buf = buf.startsWith("-") ? buf.slice(1) : "-" + buf; }
    else if (buf !== "OL" && buf.replace(/[-.]/g, "").length < 5 && !(key === "." && buf.includes("."))) { stamp(); buf += key; }
    if (!buf && !chosen) at = null;
    draw();
  }
  function take() {
    if (!cur || !(buf === "OL" || /^-?\d+(\.\d*)?$|^-?\.\d+$/.test(buf))) return;
    const back = WalkClock.steady() - at, value = buf === "OL" ? "OL" : String(Number(other(buf, show(), head().unit)));
    const entry = { kind: cur === "air" ? "air" : "reading", elapsed_s: Math.max(0, Math.round((clock.now - back) * 10) / 10), corner: cur === "air" ? "" : cur, cell: value, wall: wall(back) };
    if (cur !== "air" && $("spot").value !== "brake") entry.spot = $("spot").value;
    buf = ""; at = null; chosen = false; $("spot").value = "brake";
    keep(entry);
  }
  function undo() {
    if (buf || at !== null) { buf = ""; at = null; draw(); return; }
    const mine = standing().filter((e) => e.key.startsWith(device + "-"));
    if (mine.length) takeBack(mine[mine.length - 1].key);
  }
  function takeBack(key) {
    const entry = all().find((e) => e.key === key);
    keep({ kind: "taken_back", elapsed_s: Math.round((clock.now || 0) * 10) / 10, target: key, wall: wall(0) });
    if (entry && entry.corner) { cur = entry.corner; chosen = true; draw(); }
  }
  function tap(w) {
    if (moving) {                     // the same number and moment, at the wheel it was
      const entry = { ...moving, corner: w };
      moving = null;
      chosen = false;
      keep(entry);
      return;
    }
    cur = w; chosen = true; buf = ""; at = WalkClock.steady();
    draw();
  }

  // ---- drawing ----------------------------------------------------------------------------------------
  function draw() {
    $("start").hidden = Boolean(S);
    $("walk").hidden = !S;
    document.body.classList.toggle("walking", Boolean(S));
    drawLine();
    if (!S) { $("clock").textContent = "–:––"; return; }
    aim();
    $("name").textContent = head().vehicle || "vehicle";
    const now = clock.now;
    $("clock").textContent = now === null ? "–:––" : minutes(now);
    const view = S.view || { urgent: "", answers: [], states: {} };
    $("stop").hidden = !view.urgent;
    $("stop").textContent = view.urgent ? "■ Stop driving: " + view.urgent + ". Keep clear, coming from ahead or behind. No water, no work at a wheel." : "";
    drawAnswers(view);
    drawTiles(view, now);
    $("parked").hidden = now !== null;
    $("pad").hidden = now === null;
    const read = at !== null ? ", read " + age(WalkClock.steady() - at) + " ago" : "";
    $("who").textContent = moving ? "Tap the wheel it was" : cur ? words(cur) + read : "Tap a wheel to read it again";
    $("value").textContent = buf ? (buf === "OL" ? "OL" : buf + " °" + show()) : "–";
    ask_back();
  }
  function drawLine() {
    const waiting = S ? S.queue.size : 0, kept = S ? standing().filter((e) => e.kind === "reading").length : 0;
    let text = "";
    if (away === "code") text = "? Scan the code that the computer shows. " + waiting + " entries wait here.";
    else if (away.startsWith("told: ")) text = "? The computer cannot keep it: " + away.slice(6) + ". " + waiting + " entries are kept here and sent again.";
    else if (away) text = "? The computer does not answer; go on reading. " + waiting + " entries are kept here and sent later.";
    else if (S) text = "✓ " + kept + " readings kept" + (waiting ? ", " + waiting + " on their way" : "");
    if (storeNote) text += " " + storeNote;
    if ($("line").textContent !== text) $("line").textContent = text;
  }
  function drawAnswers(view) {
    const box = $("answers"), told = JSON.stringify([view.answers, view.settled, view.drives, view.steps, view.refusal, view.do_next, view.caution]);
    if (box.dataset.told === told) return;
    box.dataset.told = told;
    box.textContent = "";
    const answers = view.answers.length ? view.answers : [{ question: "Does a brake drag?", state: "cannot_tell", word: "not read yet", corners: "" }, { question: "Does a brake not work?", state: "cannot_tell", word: "not read yet", corners: "" }];
    for (const one of answers) {
      const e = made("div", "a " + one.state);
      e.append(made("span", "small", one.question), made("b", "", SIGN[one.state] + " " + one.word + (one.corners ? ": " + one.corners : "")), made("span", "small", one.corners ? one.chance : ""));
      box.append(e);
    }
    const more = view.settled ? "Both questions are answered." : (view.drives || [])[0] || (view.steps || [])[0] || (view.urgent ? "" : view.refusal) || "";
    if (more) box.append(made("p", "small more", more));
    for (const [head, text] of [["Do next", view.do_next], ["Take care", view.caution]]) {
      if (!text) continue;
      const p = made("p", "small then" + (view.settled ? "" : " short"));
      p.tabIndex = 0;
      p.append(made("b", "", head + ": "), text);
      box.append(p);
    }
  }
  function drawTiles(view, now) {
    const box = $("tiles"), wanted = corners().concat("air").join();
    if (box.dataset.for !== wanted) {
      box.textContent = ""; box.dataset.for = wanted;
      for (const w of corners()) {
        const b = tile(w);
        box.append(b);
        if (w.endsWith("L")) { const s = made("span", "spine"); s.setAttribute("aria-hidden", "true"); box.append(s); }
      }
      $("airbox").textContent = "";
      (count() > 3 ? box : $("airbox")).append(tile("air"));
    }
    const next = proposed(), wait = S.view && S.view.next ? S.view.next.from_s - (now || 0) : 0;
    for (const b of document.querySelectorAll(".tile")) {
      const w = b.dataset.w, l = last(w), state = (view.states || {})[w] || "", [nm, tp, ag] = b.children;
      b.className = "tile " + state + (w === next && w !== cur ? " next" : "") + (w === "air" ? " air" : "");
      b.setAttribute("aria-pressed", String(w === cur));
      const hint = w === cur ? (chosen ? " · reading" : wait >= 1 ? " · in " + Math.round(wait) + " s" : " · next") : w === next ? " · next" : "";
      set(nm, words(w) + hint);
      if (w === cur && box.dataset.at !== w) { box.dataset.at = w; b.scrollIntoView({ block: "nearest" }); }
      set(tp, l ? shown(l.cell) : "–");
      set(ag, (WORDS[state] ? WORDS[state] + " " : "") + (l && now !== null ? age(now - time(l)) : "not yet"));
    }
  }
  function set(e, text) { if (e.textContent !== text) e.textContent = text; }
  function tile(w) {
    const b = made("button", "tile");
    b.type = "button"; b.dataset.w = w;
    b.append(made("span", "nm small"), made("b", "tp"), made("span", "ag small"));
    return b;
  }

  // ---- questions back ---------------------------------------------------------------------------------
  function ask_back() {
    const kept = new Set(store.get("kept." + S.walk) || []), out = gone();
    const one = S.questions.find((q) => !kept.has(q.key) && !out.has(q.key));
    if (!one || buf || $("sheet").open || moving) return;
    if (dialogKey === one.key && $("ask").open) return;
    dialogKey = one.key;
    $("asked").textContent = one.text;
    if (!$("ask").open) $("ask").showModal();
  }
  $("ask").addEventListener("cancel", (e) => e.preventDefault());
  $("ask").addEventListener("click", (e) => {
    const how = e.target.dataset && e.target.dataset.answer;
    if (!how) return;
    const entry = all().find((one) => one.key === dialogKey);
    $("ask").close();
    if (how === "keep") { store.put("kept." + S.walk, [...(store.get("kept." + S.walk) || []), dialogKey]); sync(); draw(); return; }
    takeBack(dialogKey);
    if (how === "wheel") { const { key, ...rest } = entry; moving = rest; draw(); }
  });

  // ---- more -------------------------------------------------------------------------------------------
  function sheet() {
    const view = S && S.view, box = $("decides");
    box.textContent = "";
    if (view) for (const text of [...view.steps, ...view.drives]) box.append(made("p", "", "› " + text));
    $("checksbox").hidden = !(view && view.checks);
    // Where something is seen is said by who sees it: a wheel that is only proposed is no answer.
    $("where").replaceChildren(...["", ...corners()].map((w) => new Option(w ? words(w) : "not said", w)));
    $("where").value = chosen && cur && cur !== "air" ? cur : "";
    list();
    $("sheet").showModal();
  }
  async function chart() {
    if (charting) return charting;
    charting = draw_curves(S);
    try { await charting; } finally { charting = null; }
  }
  async function draw_curves(mine) {
    try {
      const told = await ask("walks/" + mine.walk + "/charts?show=" + show(), undefined, 60000);
      if (mine !== S) return;
      drawings = told;
      $("chart").replaceChildren(...drawings.map(drawing));
    } catch (fault) {
      if (fault.told) drawings = [];
      $("chart").textContent = fault.message;
    }
  }
  function drawing(text) { return document.adoptNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement); }
  async function check() {
    const box = $("checks");
    try {
      const one = await ask("walks/" + S.walk + "/checks", { ...checks, show: show() });
      box.textContent = "";
      const b = (text, act, look = "big plain") => { const e = made("button", look, text); e.type = "button"; e.addEventListener("click", act); box.append(e); };
      checks.at = one.about ? one.about.at : null;
      if (one.about) box.append(made("p", "t3", one.about.words));
      for (const o of one.others) b("Another job: " + o.words, () => { searches[checks.at] = checks; checks = searches[o.at] || begun(o.at); check(); }, "plain");
      for (const cause of one.causes) box.append(made("p", "small", cause));
      if (one.ending) box.append(made("p", "", one.ending));
      if (!one.id) return;
      box.append(made("p", "t3", one.question), made("p", "", one.how), made("p", "caution", one.safety));
      for (const a of one.answers) b(a.words, () => { checks.found.push([one.id, a.id]); check(); });
      if (one.answers.length) b("Cannot be done now", () => { checks.skipped.push(one.id); check(); });
      if (checks.found.length || checks.skipped.length) b("One back", () => { (checks.found.length ? checks.found : checks.skipped).pop(); check(); });
    } catch (fault) { box.textContent = fault.message; }
  }
  function list() {
    const out = gone(), table = made("table"), box = $("list"), head = made("tr");
    for (const text of ["time", "what", "read, °" + show(), "by"]) { const th = made("th", "", text); th.scope = "col"; head.append(th); }
    head.append(made("td"), made("td"));
    table.createTHead().append(head);
    for (const e of all().filter((one) => one.kind !== "taken_back").sort((a, b) => time(a) - time(b))) {
      const row = made("tr");
      const what = e.kind === "reading" ? words(e.corner) + (e.spot ? " " + e.spot.replace("_", " ") : "") : e.kind;
      for (const text of [minutes(time(e)), what, e.cell ? shown(e.cell) : e.text || "", e.by || "", out.has(e.key) ? "taken back" : ""]) row.append(made("td", "", text));
      if (e.cell && !out.has(e.key)) { const c = made("td"), b = made("button", "small", "take back"); b.type = "button"; b.addEventListener("click", () => { takeBack(e.key); list(); }); c.append(b); row.append(c); }
      else row.append(made("td"));
      table.append(row);
    }
    for (const one of S.refused) {
      const row = made("tr");
      for (const text of [minutes(time(one.entry)), one.entry.corner || one.entry.kind, one.entry.cell || one.entry.text || "", one.entry.by || "", "not kept: " + one.why, ""]) row.append(made("td", "", text));
      table.append(row);
    }
    box.replaceChildren(table);
  }
  async function save() {
    const link = made("a");
    try {
      const said = await fetch("walks/" + S.walk + "/log.csv", { credentials: "same-origin" });
      if (!said.ok) throw new Error("away");
      link.href = URL.createObjectURL(await said.blob());
    } catch {                          // the server is away: the simplest log, from what is kept here
      const rows = standing().map((e) => [time(e), e.kind === "air" ? "ambient" : e.corner, e.cell].join());
      const text = ["# axles: " + Array.from({ length: count() }, (_, k) => (k ? "axle" : "steer")).join(" "), "since_parked_s,position,temp_" + head().unit.toLowerCase(), ...rows, ""].join("\n");
      link.href = URL.createObjectURL(new Blob([text], { type: "text/csv" }));
    }
    link.download = (head().vehicle || "walk").replace(/[^A-Za-z0-9]+/g, "-").slice(0, 30) + ".csv";
    link.click();
  }
  function paper() {
    const box = $("paper");
    box.textContent = "";
    if (!S) return;
    box.append(made("h1", "", (head().vehicle || "vehicle") + ", " + new Date().toLocaleString()));
    for (const text of S.view ? S.view.last_lines || [] : []) box.append(made("p", "", text));
    list();
    box.append($("list").firstChild.cloneNode(true));
    // ids of its own: what a hidden drawing holds is not drawn
    const curves = made("div", "curves");
    curves.append(...drawings.map((text) => drawing(text.replace(/\bd(?=[0-9a-f]{10}-)/g, "paper"))));
    box.append(curves);
  }

  // ---- start ------------------------------------------------------------------------------------------
  async function others() {
    try {
      const walks = await ask("walks"), box = $("others");
      away = "";
      box.textContent = "";
      for (const one of walks) {
        const b = made("button", "big plain", "Join: " + (one.vehicle || "vehicle") + ", " + one.axles + " axles, " + one.readings + " readings");
        b.type = "button";
        b.addEventListener("click", () => open(one.walk, { vehicle: one.vehicle, axles: String(one.axles), brakes: "", weight: "", drive: one.drive, unit: one.unit, by: store.get("by") || "" }));
        box.append(b);
      }
    } catch (fault) { away = barred ? "code" : "away"; }
    drawLine();
  }
  $("form").addEventListener("submit", (e) => {
    e.preventDefault();
    const said = Object.fromEntries(new FormData($("form")));
    store.put("by", said.by);
    open(randomName(10), { ...said, unit: show() });
  });
  async function knock() {
    const code = location.hash.slice(1);
    if (!code) return;
    history.replaceState(null, "", location.pathname);
    try { await ask("knock", { code }); } catch (fault) { storeNote = fault.message; }
  }

  $("parked").addEventListener("click", () => { clock.park(); keep({ kind: "parked", elapsed_s: 0, wall: wall(0) }); });
  $("pad").addEventListener("click", (e) => { const b = e.target.closest("button"); if (b) press(b.dataset.key); });
  for (const box of ["tiles", "airbox"]) $(box).addEventListener("click", (e) => { const b = e.target.closest("button"); if (b && clock.offset !== null) tap(b.dataset.w); });
  $("menu").addEventListener("click", () => { if (S) sheet(); });
  $("back").addEventListener("click", () => { $("sheet").close(); draw(); });
  $("chartbox").addEventListener("toggle", () => { if ($("chartbox").open) chart(); });
  $("checksbox").addEventListener("toggle", () => { if ($("checksbox").open) check(); });
  $("save").addEventListener("click", save);
  $("print").addEventListener("click", async () => { await Promise.race([chart(), new Promise((go) => setTimeout(go, 8000))]); paper(); $("sheet").close(); window.print(); });
  $("light").addEventListener("click", () => {
    const dark = document.documentElement.dataset.light ? document.documentElement.dataset.light === "light" : !matchMedia("(prefers-color-scheme: dark)").matches;
    document.documentElement.dataset.light = dark ? "dark" : "light";
    store.put("light", document.documentElement.dataset.light);
  });
  $("other").addEventListener("click", () => { store.drop("last"); S = null; $("sheet").close(); draw(); others(); });
  $("keepnote").addEventListener("click", () => {
    const text = $("note").value.trim();
    if (text) keep({ kind: "note", elapsed_s: Math.round((clock.now || 0) * 10) / 10, text, wall: wall(0) });
    $("note").value = "";
    list();
  });
  for (const b of $("seen").children) b.addEventListener("click", () => {
    keep({ kind: "seen", elapsed_s: Math.round((clock.now || 0) * 10) / 10, text: b.textContent + ($("where").value && b.dataset.whole === undefined ? " at " + $("where").value : ""), wall: wall(0) });
    $("sheet").close();
  });
  for (const unit of document.querySelectorAll(".units input")) unit.addEventListener("change", () => { buf = ""; at = null; if (S) { delete $("answers").dataset.told; draw(); sync(); } });
  document.addEventListener("keydown", (e) => {
    if (!S || $("ask").open || $("sheet").open || e.ctrlKey || e.metaKey || e.altKey) return;
    if (/^[0-9.]$/.test(e.key)) press(e.key);
    else if (e.key === "-") press("neg");
    else if (e.key === "Backspace") press("del");
    else if (e.key === "Enter" && !(e.target.closest && e.target.closest("button"))) press("take");
  });
  document.addEventListener("visibilitychange", () => { if (document.hidden) { clock.hidden(); if (S) remember(); } else { clock.shown(); sync(); } });
  addEventListener("pagehide", () => { if (S) remember(); });
  addEventListener("beforeprint", paper);
  addEventListener("online", sync);
  setInterval(() => { if (S) draw(); }, 1000);
  setInterval(() => { if (S && !document.hidden && Date.now() - since > (away ? 3000 : 1800)) sync(); }, 1000);
  const light = store.get("light");
  if (light) document.documentElement.dataset.light = light;
  knock().then(() => {
    const before = store.get("last");
    if (before && store.get("w." + before)) open(before); else others();
    draw();
  });
  draw();
})();
