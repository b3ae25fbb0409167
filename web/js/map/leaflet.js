/** The map library, in the form that is packed small. It puts itself on the page under one name, which only this file uses. */

import "/vendor/leaflet/leaflet.js";

const { Control, DomUtil, Layer, circleMarker, latLng, latLngBounds, layerGroup, map, point, polygon, polyline, svg } = globalThis.L;

export { Control, DomUtil, Layer, circleMarker, latLng, latLngBounds, layerGroup, map, point, polygon, polyline, svg };
