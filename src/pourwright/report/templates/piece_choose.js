// Before anything is shown: the page stays flat (pictures, one a lift) unless this browser can turn the piece.
(() => {
  const able = HTMLScriptElement.supports?.("importmap") && document.createElement("canvas").getContext("webgl2");
  if (able) document.body.classList.remove("flat");
  able?.getExtension("WEBGL_lose_context")?.loseContext(); // it was only to see
})();
