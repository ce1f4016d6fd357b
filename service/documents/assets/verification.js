(function () {
  "use strict";
  var answer = document.getElementById("answer");
  if (!answer) return;
  document.getElementById("unscripted").hidden = true;
  if (!window.crypto || !crypto.subtle) {
    document.getElementById("insecure").hidden = false;
    return;
  }
  var input = document.getElementById("file");
  var latest = 0;
  document.getElementById("chooser").hidden = false;
  var byHand = document.querySelector("details");
  byHand.open = false;
  window.addEventListener("beforeprint", function () { byHand.open = true; });

  function hex(buffer) {
    return Array.from(new Uint8Array(buffer), function (byte) {
      return byte.toString(16).padStart(2, "0");
    }).join("");
  }

  function say(verdict, name) {
    answer.replaceChildren(document.getElementById(verdict).content.cloneNode(true));
    if (!name) return;
    var line = document.createElement("p");
    line.className = "name";
    line.textContent = name;
    answer.lastElementChild.append(line);
  }

  function compare(files) {
    var turn = ++latest;
    answer.replaceChildren();
    if (files.length !== 1) {
      if (files.length) say("several");
      return;
    }
    var file = files[0];
    file.arrayBuffer()
      .then(function (content) { return crypto.subtle.digest("SHA-256", content); })
      .then(
        function (digest) { return hex(digest) === answer.dataset.digest ? "same" : "other"; },
        function () { return "unread"; }
      )
      // A small file that was chosen later may be through before a large one.
      .then(function (verdict) { if (turn === latest) say(verdict, file.name); });
  }

  function over(event) {
    event.preventDefault();
    document.body.classList.toggle("over", event.type === "dragover");
  }

  input.addEventListener("change", function () {
    compare(Array.from(input.files));
    input.value = "";
  });
  document.addEventListener("dragover", over);
  document.addEventListener("dragleave", function (event) {
    if (!event.relatedTarget) over(event);
  });
  document.addEventListener("drop", function (event) {
    over(event);
    compare(Array.from(event.dataTransfer.files));
  });
})();
