"use strict";
(function () {
  // Ticks: kept by the browser where it allows that, else until the page is closed.
  var jobs = document.querySelector("[data-holding]");
  if (jobs) {
    var key = "bedweek jobs done: " + jobs.dataset.holding;
    var done = {};
    try {
      done = JSON.parse(localStorage.getItem(key)) || {};
    } catch (error) {
      done = {};
    }
    var boxes = jobs.querySelectorAll("input[data-job]");
    boxes.forEach(function (box) {
      box.checked = Object.prototype.hasOwnProperty.call(done, box.dataset.job);
      box.addEventListener("change", function () {
        if (box.checked) { done[box.dataset.job] = 1; } else { delete done[box.dataset.job]; }
        try {
          localStorage.setItem(key, JSON.stringify(done));
        } catch (error) {
          document.getElementById("not-kept").hidden = false;
        }
      });
    });
  }
  // A tap on a bar shows the planting at the foot of the window; without script it leads to the list.
  var slip = document.getElementById("slip");
  if (slip) {
    var words = slip.querySelector("p");
    var shown = null;
    var hide = function () {
      slip.hidden = true;
      if (shown) { shown.classList.remove("shown"); shown = null; }
    };
    document.addEventListener("click", function (event) {
      var bar = event.target.closest ? event.target.closest(".chart a, .chart .bar") : null;
      if (!bar) { return; }
      event.preventDefault();
      hide();
      words.textContent = bar.querySelector("title").textContent;
      bar.classList.add("shown");
      shown = bar;
      slip.hidden = false;
    });
    slip.querySelector("button").addEventListener("click", hide);
    document.addEventListener("keydown", function (event) {
      if (event.key === "Escape") { hide(); }
    });
  }
  // The list that a link leads into is opened.
  var open = function () {
    var target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    var details = target && target.closest("details");
    if (details) { details.open = true; target.scrollIntoView(); }
  };
  window.addEventListener("hashchange", open);
  open();
})();
