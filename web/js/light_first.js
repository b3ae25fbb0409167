/*
 * Sets the palette before the first paint, so that no white page flashes on a dark bridge.
 * It is a classic script on purpose: modules run only after the page has been painted.
 */
(function () {
  "use strict";
  var found = /(?:^|;\s*)wheelover_light=(day|dusk|night)(?:;|$)/.exec(document.cookie);
  if (found) {
    document.documentElement.setAttribute("data-light", found[1]);
  }
})();
