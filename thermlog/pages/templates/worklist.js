(function () {
  var live = document.getElementById("live");
  var collator = new Intl.Collator(undefined, { numeric: true });
  function key(row, column) {
    return row.cells[column].getAttribute("data-s") || row.cells[column].textContent.trim();
  }
  function compared(one, other, column) {
    var a = key(one, column), b = key(other, column), x = Number(a), y = Number(b);
    return a !== "" && b !== "" && !isNaN(x) && !isNaN(y) ? x - y : collator.compare(a, b);
  }
  document.querySelectorAll(".so").forEach(function (button) {
    button.addEventListener("click", function () {
      var head = button.closest("th"), body = head.closest("table").tBodies[0], column = head.cellIndex;
      var up = head.getAttribute("aria-sort") !== "ascending";
      head.parentNode.querySelectorAll("th").forEach(function (other) { other.removeAttribute("aria-sort"); });
      head.setAttribute("aria-sort", up ? "ascending" : "descending");
      Array.from(body.rows).sort(function (one, other) {
        return up ? compared(one, other, column) : compared(other, one, column);
      }).forEach(function (row) { body.appendChild(row); });
      live.textContent = "Sorted by " + button.textContent.trim() + (up ? ", ascending" : ", descending");
    });
  });
  document.getElementById("q").addEventListener("input", function () {
    var wanted = this.value.trim().toLowerCase(), count = 0;
    document.querySelectorAll(".en").forEach(function (row) {
      row.hidden = Boolean(wanted) && row.textContent.toLowerCase().indexOf(wanted) < 0;
      if (!row.hidden) { count += 1; }
    });
    document.querySelectorAll("details").forEach(function (part) { if (wanted) { part.open = true; } });
    live.textContent = wanted ? count + " shown" : "";
  });
})();
