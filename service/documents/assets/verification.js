(function () {
  "use strict";
  var main = document.querySelector("main");
  var input = document.getElementById("file");
  if (!input) return;
  var drop = document.getElementById("drop");
  var answer = document.getElementById("answer");

  function hex(buffer) {
    return Array.from(new Uint8Array(buffer), function (byte) {
      return byte.toString(16).padStart(2, "0");
    }).join("");
  }

  function verdict(same) {
    if (!same) return "✗ No. This file is not this certificate, or it was changed.";
    if (main.dataset.state === "withdrawn") return "! This is the file, but the certificate was withdrawn.";
    if (main.dataset.state === "superseded") return "! This is the file, but the certificate was replaced.";
    return "✓ Yes. This is the certificate, byte for byte as it was issued.";
  }

  function compare(file) {
    if (!file) return;
    answer.textContent = "Comparing …";
    file.arrayBuffer()
      .then(function (content) { return crypto.subtle.digest("SHA-256", content); })
      .then(function (digest) { answer.textContent = verdict(hex(digest) === main.dataset.digest); })
      .catch(function () { answer.textContent = "The file could not be read."; });
  }

  input.addEventListener("change", function () { compare(input.files[0]); });
  ["dragenter", "dragover"].forEach(function (name) {
    drop.addEventListener(name, function (event) { event.preventDefault(); drop.classList.add("over"); });
  });
  ["dragleave", "drop"].forEach(function (name) {
    drop.addEventListener(name, function (event) { event.preventDefault(); drop.classList.remove("over"); });
  });
  drop.addEventListener("drop", function (event) { compare(event.dataTransfer.files[0]); });
})();
