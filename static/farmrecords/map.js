/* The one module that calls Leaflet: every element with data-map becomes a map that can be moved.

   Data: GeoJSON in lon/lat, from the JSON script named by data-source.
   Each feature's properties:
     kind    "field", "zone", "swath", "track" or "feature"
     label   name shown on the map (fields, features) or on touch (the rest)
     closed  zones only: false for ground that is limited but not closed; default true
     shade   swaths only: 0 to 1, the amount against the largest shown
     url     where a click on a field leads, optional
   No tiles unless data-tile-url is given. The table on the page holds the same facts. */
"use strict";

(function () {
  const SVG = "http://www.w3.org/2000/svg";
  const CLASSES = {
    field: "field-line",
    swath: "swath-area",
    track: "track-line",
    feature: "feature-line",
  };
  let hatches = 0;

  function drawn(name, attributes, parent) {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (parent) parent.appendChild(element);
    return element;
  }

  /* A hatch pattern of the map's own; Leaflet then fills with url(#name). */
  function hatchIn(container) {
    hatches += 1;
    const name = "map-hatch-" + hatches;
    const holder = drawn("svg", { width: 0, height: 0, "aria-hidden": "true" }, container);
    const pattern = drawn(
      "pattern",
      { id: name, width: 8, height: 8, patternUnits: "userSpaceOnUse" },
      drawn("defs", {}, holder)
    );
    drawn("path", { d: "M-2 2L2 -2M0 8L8 0M6 10L10 6", class: "hatch-line" }, pattern);
    return "url(#" + name + ")";
  }

  function styleOf(feature, hatch) {
    const given = feature.properties || {};
    if (given.kind === "zone") {
      const closed = given.closed !== false;
      return { className: "zone-line", fill: closed, fillColor: hatch, fillOpacity: 1 };
    }
    if (given.kind === "swath") {
      const shade = Math.min(1, Math.max(0, Number(given.shade) || 0));
      return { className: CLASSES.swath, stroke: false, fill: true, fillOpacity: 0.2 + 0.5 * shade };
    }
    const inside = given.kind === "field" && given.url;
    return { className: CLASSES[given.kind] || CLASSES.feature, fill: Boolean(inside), fillOpacity: 0 };
  }

  function named(layer, given) {
    if (!given.label) return;
    const label = document.createElement("span");
    label.textContent = given.label;
    if (given.kind === "field") {
      layer.bindTooltip(label, { permanent: true, direction: "center", className: "map-label" });
    } else if (given.kind === "feature") {
      layer.bindTooltip(label, {
        permanent: true,
        direction: "right",
        offset: [8, 0],
        className: "map-label",
      });
    } else {
      layer.bindTooltip(label, { sticky: true });
    }
  }

  function northArrow() {
    const control = L.control({ position: "topright" });
    control.onAdd = function () {
      const arrow = drawn("svg", { viewBox: "0 0 24 36", class: "map-north", "aria-hidden": "true" });
      drawn("path", { d: "M12 1L17.5 24L12 19L6.5 24Z", fill: "none", stroke: "currentColor" }, arrow);
      drawn("path", { d: "M12 1L12 19L6.5 24Z", fill: "currentColor" }, arrow);
      const words = drawn(
        "text",
        { x: 12, y: 35, "text-anchor": "middle", "font-size": 11, fill: "currentColor" },
        arrow
      );
      words.textContent = "N";
      return arrow;
    };
    return control;
  }

  function emptyMap(element) {
    const words = element.dataset;
    const map = L.map(element, {
      attributionControl: Boolean(words.tileUrl),
      zoomControl: false,
      scrollWheelZoom: false,
      dragging: !L.Browser.mobile,
      zoomSnap: 0.25,
      maxZoom: 20,
    });
    L.control
      .zoom({ zoomInTitle: words.zoomIn || "Nearer", zoomOutTitle: words.zoomOut || "Farther" })
      .addTo(map);
    L.control.scale({ imperial: true, metric: true, maxWidth: 140 }).addTo(map);
    northArrow().addTo(map);
    if (words.tileUrl) {
      map.attributionControl.setPrefix(false);
      L.tileLayer(words.tileUrl, { attribution: words.tileAttribution || "", maxZoom: 20 }).addTo(map);
    }
    return map;
  }

  const ORDER = ["swath", "zone", "track", "field", "feature"];

  function show(element, data) {
    element.classList.add("live");
    const map = emptyMap(element);
    const hatch = hatchIn(element);
    const groups = {};
    for (const kind of ORDER) {
      groups[kind] = L.geoJSON(data, {
        filter: (feature) => ((feature.properties || {}).kind || "feature") === kind,
        style: (feature) => styleOf(feature, hatch),
        pointToLayer: (feature, at) => L.circleMarker(at, { radius: 6, className: "feature-point" }),
        onEachFeature: (feature, layer) => {
          named(layer, feature.properties || {});
          if ((feature.properties || {}).url) {
            layer.on("click", () => window.location.assign(feature.properties.url));
          }
        },
      }).addTo(map);
    }
    const fields = groups.field.getBounds();
    const all = L.featureGroup(Object.values(groups)).getBounds();
    const shown = fields.isValid() ? fields : all;
    if (shown.isValid()) map.fitBounds(shown.pad(0.12), { animate: false });
    else map.setView([0, 0], 1);
  }

  function start(element) {
    const block = document.getElementById(element.dataset.source);
    if (block) show(element, JSON.parse(block.textContent));
  }

  document.querySelectorAll("[data-map]").forEach(start);
})();
