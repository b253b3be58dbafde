(function () {
  "use strict";
  var name = "fellfare-ticks-" + document.documentElement.dataset.card;
  var boxes = Array.prototype.slice.call(document.querySelectorAll("input[type=checkbox]"));
  function keep() {
    var ticked = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.id; });
    localStorage.setItem(name, JSON.stringify(ticked));
  }
  try {
    var ticked = JSON.parse(localStorage.getItem(name) || "[]");
    if (!Array.isArray(ticked)) { ticked = []; }
    boxes.forEach(function (box) {
      box.checked = ticked.indexOf(box.id) >= 0;
      box.addEventListener("change", function () { try { keep(); } catch (full) { /* ticks last as long as the page */ } });
    });
    localStorage.setItem(name, JSON.stringify(ticked));
    var line = document.querySelector(".keep");
    line.hidden = false;
    line.querySelector("button").addEventListener("click", function () {
      boxes.forEach(function (box) { box.checked = false; });
      try { keep(); } catch (full) { /* nothing was kept */ }
    });
  } catch (closed) { /* no storage here: ticks last as long as the page */ }
})();
