// The path of the curtain, as model/track.go has it: vertical from the sill, a
// quarter bend, then along the roof. Lengths in m; x runs into the truck, z up.

export function makeTrack({ vertical, bend }) {
  const roof = vertical + bend * Math.PI / 2; // arc length at which the roof part begins
  return function at(s) {
    if (s <= vertical) return { x: 0, z: s, lean: 0 };
    if (s >= roof) return { x: bend + (s - roof), z: vertical + bend, lean: Math.PI / 2 };
    const phi = (s - vertical) / bend;
    return { x: bend * (1 - Math.cos(phi)), z: vertical + bend * Math.sin(phi), lean: phi };
  };
}

// hanging is the curve of a rope between two points, as the four points of a cubic,
// longer than their distance by slack. A little slack bows it; much of it hangs
// down in a loop, and never below the floor.
export function hanging(top, end, slack, side) {
  const dx = end.x - top.x, dz = end.z - top.z;
  const span = Math.hypot(dx, dz) || 1e-6;
  if (slack < 1e-4) {
    return [top, { x: top.x + dx / 3, z: top.z + dz / 3 }, { x: end.x - dx / 3, z: end.z - dz / 3 }, end];
  }
  const loop = slack / (slack + span);
  const bow = side * Math.min(0.34, Math.sqrt(0.375 * span * slack)) * (4 / 3) * (1 - 0.45 * loop);
  const drop = loop * slack * 0.66;
  const above = z => Math.max(z, 0.015 - 0.2 * loop);
  return [
    top,
    { x: top.x + dx / 3 + bow, z: above(top.z + dz / 3 * (1 - loop) - drop) },
    { x: end.x - dx / 3 + bow, z: above(end.z - dz / 3 * (1 - loop) - drop) },
    end,
  ];
}
