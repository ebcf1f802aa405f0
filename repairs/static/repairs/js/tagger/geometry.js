/**
 * Plane geometry of tags, free of the page. Points are [x, y] pairs.
 *
 * "Share" points run 0..1 over the upright picture; "spot" points are pixels on the stage.
 */

export const LEAST_POINTS = { point: 1, line: 2, polygon: 3 };
export const BADGE_RADIUS = 14;
const LEADER = 27;
const AROUND = [-90, -45, -135, 0, 180, 45, 135, 90].map((degrees) => (degrees * Math.PI) / 180);
const INNER = 10;

export function clamp(value, low, high) {
  return Math.min(Math.max(value, low), high);
}

export function distance([ax, ay], [bx, by]) {
  return Math.hypot(ax - bx, ay - by);
}

function toSegment(spot, a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length2 = dx * dx + dy * dy;
  if (length2 === 0) return distance(spot, a);
  const along = clamp(((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / length2, 0, 1);
  return distance(spot, [a[0] + along * dx, a[1] + along * dy]);
}

function toOutline(spot, spots, closed) {
  let least = Infinity;
  for (let i = 1; i < spots.length; i += 1) {
    least = Math.min(least, toSegment(spot, spots[i - 1], spots[i]));
  }
  return closed ? Math.min(least, toSegment(spot, spots.at(-1), spots[0])) : least;
}

function inside([x, y], spots) {
  let within = false;
  for (let i = 0, j = spots.length - 1; i < spots.length; j = i, i += 1) {
    const [[xi, yi], [xj, yj]] = [spots[i], spots[j]];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) within = !within;
  }
  return within;
}

function area(spots) {
  let twice = 0;
  for (let i = 0, j = spots.length - 1; i < spots.length; j = i, i += 1) {
    twice += spots[j][0] * spots[i][1] - spots[i][0] * spots[j][1];
  }
  return Math.abs(twice) / 2;
}

/**
 * The drawn tag under a spot as `{ tag, inner }`, or null; `inner` is true well inside an area.
 *
 * Small things win over large ones, so that a point inside an area can be picked: badges and
 * points first, then outlines, then the smallest area around the spot.
 */
export function tagUnder(spot, drawn, reach) {
  let best = null;
  for (const each of drawn) {
    const rank = rankUnder(spot, each, reach);
    if (rank !== null && (best === null || rank < best.rank)) best = { rank, tag: each.tag };
  }
  return best && { tag: best.tag, inner: best.rank >= INNER };
}

function rankUnder(spot, { tag, spots, badge }, reach) {
  const toBadge = distance(spot, badge);
  if (toBadge <= Math.max(BADGE_RADIUS + 2, reach)) return toBadge / 1e3;
  if (tag.shape === "point") {
    const away = distance(spot, spots[0]);
    return away <= reach + 6 ? away / 1e3 : null;
  }
  const away = toOutline(spot, spots, tag.shape === "polygon");
  if (away <= reach) return 1 + away / 1e3;
  return tag.shape === "polygon" && inside(spot, spots) ? INNER + area(spots) : null;
}

/** Index of the vertex under a spot, or null. */
export function cornerUnder(spot, spots, reach) {
  let best = null;
  spots.forEach((corner, index) => {
    const away = distance(spot, corner);
    if (away <= reach && (best === null || away < best.away)) best = { away, index };
  });
  return best && best.index;
}

/**
 * Where each badge stands: beside the topmost vertex, never on what the tag points at, inside the
 * stage, and not over a badge already placed where there is room.
 */
export function placeBadges(all, [width, height]) {
  const taken = [];
  return all.map((spots) => {
    const anchor = spots.reduce((top, spot) => (spot[1] < top[1] ? spot : top));
    const edge = BADGE_RADIUS + 2;
    const fits = ([x, y]) => x >= edge && y >= edge && x <= width - edge && y <= height - edge;
    const free = (at) => taken.every((other) => distance(at, other) > 2 * BADGE_RADIUS + 1);
    const choices = AROUND.map((turn) => [
      anchor[0] + LEADER * Math.cos(turn),
      anchor[1] + LEADER * Math.sin(turn),
    ]);
    const within = choices.filter(fits);
    const badge = within.find(free) ?? within[0] ?? choices[0];
    taken.push(badge);
    return { anchor, badge };
  });
}

/** The points moved by a step, held back as a whole at the edges of the picture. */
export function shifted(points, [dx, dy]) {
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  const byX = clamp(dx, -Math.min(...xs), 1 - Math.max(...xs));
  const byY = clamp(dy, -Math.min(...ys), 1 - Math.max(...ys));
  return points.map(([x, y]) => [x + byX, y + byY]);
}

/** The points with one of them moved to a place on the picture. */
export function withCorner(points, index, [x, y]) {
  const place = [clamp(x, 0, 1), clamp(y, 0, 1)];
  return points.map((point, at) => (at === index ? place : point));
}

/** Five decimals: a hundredth of a pixel on the largest photo kept. */
export function rounded(points) {
  return points.map((point) => point.map((share) => Math.round(share * 1e5) / 1e5));
}
