/* Folding, and nothing else: opens what an address or a printer asks for.  Without it everything can be read. */
(function () {
  var all = function () { return document.querySelectorAll("details"); };
  var shut = [];
  function show() {
    var at = location.hash && document.getElementById(location.hash.slice(1));
    if (at && at.tagName === "DETAILS") { at.open = true; }
  }
  addEventListener("hashchange", show);
  show();
  addEventListener("beforeprint", function () {
    shut = [];
    all().forEach(function (one) { if (!one.open) { shut.push(one); one.open = true; } });
  });
  addEventListener("afterprint", function () {
    shut.forEach(function (one) { one.open = false; });
    shut = [];
  });
  document.querySelectorAll("button.fold").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () {
      var open = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", open);
      all().forEach(function (one) { one.open = open; });
    });
  });
})();
