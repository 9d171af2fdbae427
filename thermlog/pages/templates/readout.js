(function () {
  const texts = new Map();
  for (const one of document.querySelectorAll("#told li")) {
    const list = texts.get(one.dataset.group) || [];
    list.push([one.querySelector(".c") || one, one.querySelector(".f") || one].map((text) => text.textContent));
    texts.set(one.dataset.group, list);
  }
  const told = document.getElementById("readout");
  if (!told || !texts.size) return;
  const marks = (pic) => {
    const found = [];
    for (const group of pic.querySelectorAll("g[id]")) {
      for (const [name, list] of texts) {
        if (!group.id.endsWith("-" + name)) continue;
        [...group.querySelectorAll("use")].forEach((mark, n) => { if (list[n]) found.push([mark, list[n]]); });
      }
    }
    return found.filter(([mark]) => mark.getBoundingClientRect().width);
  };
  const middle = (mark) => {
    const box = mark.getBoundingClientRect();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  const tell = (found) => {
    told.hidden = !found;
    if (!found) return;
    const [x, y] = middle(found[0]);
    told.textContent = found[1][document.getElementById("uf").checked ? 1 : 0];
    told.style.left = Math.max(4, Math.min(x + 10, innerWidth - told.offsetWidth - 8)) + "px";
    told.style.top = (y > 60 ? y - told.offsetHeight - 10 : y + 14) + "px";
  };
  for (const pic of document.querySelectorAll(".pic.reads")) {
    let step = -1;
    pic.tabIndex = 0;
    pic.addEventListener("pointermove", (event) => {
      let best = null;
      let least = 24;
      for (const one of marks(pic)) {
        const [x, y] = middle(one[0]);
        const far = Math.hypot(x - event.clientX, y - event.clientY);
        if (far < least) { least = far; best = one; }
      }
      tell(best);
    });
    pic.addEventListener("pointerleave", () => tell(null));
    pic.addEventListener("blur", () => tell(null));
    pic.addEventListener("keydown", (event) => {
      const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (event.key === "Escape") tell(null);
      if (!way) return;
      event.preventDefault();
      const all = marks(pic);
      step = (step + way + all.length) % all.length;
      tell(all[step]);
    });
  }
})();
